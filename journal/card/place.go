package card

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// places knows where each value of a card stands in its text.
type places struct {
	lines []string
	nodes map[string]ast.Node // by path, such as stages[2].holds[0].rule
	keys  map[string]ast.Node // the key that names the value
}

func newPlaces(text string, root ast.Node) *places {
	p := &places{lines: strings.Split(text, "\n"), nodes: make(map[string]ast.Node), keys: make(map[string]ast.Node)}
	p.index("", root)
	return p
}

func (p *places) index(path string, n ast.Node) {
	p.nodes[path] = n
	switch n := n.(type) {
	case *ast.MappingNode:
		for _, v := range n.Values {
			p.pair(path, v)
		}
	case *ast.MappingValueNode:
		p.pair(path, n)
	case *ast.SequenceNode:
		for i, v := range n.Values {
			p.index(fmt.Sprintf("%s[%d]", path, i), v)
		}
	}
}

func (p *places) pair(path string, v *ast.MappingValueNode) {
	at := v.Key.GetToken().Value
	if path != "" {
		at = path + "." + at
	}
	p.keys[at] = v.Key
	p.index(at, v.Value)
}

// mistake makes a mistake about the value at the path, or about the nearest
// thing around it that is there.
func (p *places) mistake(path, format string, args ...any) *Mistake {
	for at := path; ; at = outer(at) {
		if n, ok := p.nodes[at]; ok {
			if key, ok := p.keys[at]; ok && (at != path || composed(n)) {
				n = key // what is missing in a thing is told at its name
			}
			return atToken(n.GetToken(), fmt.Sprintf(format, args...))
		}
		if at == "" {
			return &Mistake{Line: 1, Column: 1, Problem: fmt.Sprintf(format, args...)}
		}
	}
}

func composed(n ast.Node) bool {
	switch n.(type) {
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode:
		return true
	}
	return false
}

func outer(path string) string { return path[:max(0, strings.LastIndexAny(path, ".["))] }

func atToken(t *token.Token, problem string) *Mistake {
	m := &Mistake{Line: 1, Column: 1, Problem: problem}
	if t == nil {
		return m
	}
	m.Text = shortened(strings.TrimSpace(t.Value))
	if t.Position != nil {
		m.Line, m.Column = max(1, t.Position.Line), max(1, t.Position.Column)
	}
	return m
}

// within makes a mistake about one place of a text that is itself the value
// at the path: line and column count from 1 and 0, as the rule language does.
func (p *places) within(path, value string, line, column int, problem string) *Mistake {
	n, ok := p.nodes[path]
	if !ok {
		return p.mistake(path, "%s", problem)
	}
	m := atToken(start(n), problem)
	lines := strings.Split(value, "\n")
	line = min(max(line, 1), len(lines))
	want := []rune(strings.Join(append(lines[:line-1:line-1], ""), "\n"))
	here := []rune(lines[line-1])
	column = min(max(column, 0), len(here))
	if column+1 < len(here) && here[column] == '.' {
		column++ // the name behind the dot is what is wrong
	}
	m.Text = shortened(word(here[column:]))
	want = append(want, here[:column]...)
	m.Line, m.Column = p.follow(m.Line, m.Column, want)
	return m
}

// start returns the token with which the characters of a text begin.
func start(n ast.Node) *token.Token {
	if l, ok := n.(*ast.LiteralNode); ok {
		return l.Start
	}
	return n.GetToken()
}

// follow walks the card's text from a place on until it has passed the value's
// characters. Both may differ in spaces, since YAML folds lines, and the text
// has quotes and backslashes that the value lacks.
func (p *places) follow(line, column int, value []rune) (int, int) {
	col := column - 1
	if first := p.line(line); col < len(first) {
		switch first[col] {
		case '\'', '"':
			col++
		case '|', '>':
			line, col = line+1, 0
		}
	}
	for len(value) > 0 && line <= len(p.lines) {
		here := p.line(line)
		switch {
		case unicode.IsSpace(value[0]):
			value = value[1:]
		case col >= len(here):
			line, col = line+1, 0
		case here[col] == value[0]:
			value = value[1:]
			col++
		default:
			col++ // a space, a quote or a backslash
		}
	}
	for line <= len(p.lines) {
		here := p.line(line)
		for col < len(here) && unicode.IsSpace(here[col]) {
			col++
		}
		if col < len(here) || line == len(p.lines) {
			break
		}
		line, col = line+1, 0
	}
	return min(line, len(p.lines)), col + 1
}

func (p *places) line(n int) []rune {
	if n < 1 || n > len(p.lines) {
		return nil
	}
	return []rune(p.lines[n-1])
}

// word returns the name or sign with which a text begins.
func word(text []rune) string {
	n := 0
	for n < len(text) && (unicode.IsLetter(text[n]) || unicode.IsDigit(text[n]) || text[n] == '_') {
		n++
	}
	if n == 0 {
		for n < len(text) && !unicode.IsSpace(text[n]) && n < 12 {
			n++
		}
	}
	return string(text[:n])
}
