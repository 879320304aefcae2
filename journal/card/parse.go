package card

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"

	"fettlebook/journal"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// deepest is how deep a card's lists and things may lie in one another; the
// format needs six levels.
const deepest = 24

// Parse reads a card. Every mistake that is found is told with its line and
// column; the error is of type [Mistakes].
func Parse(text string) (*Card, error) { return parse(text, false) }

// ParseHeld reads a card that was published before and that jobs may hang on. It
// does what [Parse] does, and takes a card whose limit is in a unit that does not
// go with the facts: rules that ask for the limit are then not met and say why.
func ParseHeld(text string) (*Card, error) { return parse(text, true) }

func parse(text string, held bool) (*Card, error) {
	if m := plain(text); m != nil {
		return nil, Mistakes{m}
	}
	file, err := parser.ParseBytes([]byte(text), 0)
	if err != nil {
		return nil, Mistakes{mistaken(err)}
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return nil, Mistakes{{Line: 1, Column: 1, Text: shortened(text), Problem: "this text holds no route card, or several; a card is one YAML document"}}
	}
	root := file.Docs[0].Body
	if m := simple(root, 0); m != nil {
		return nil, Mistakes{m}
	}
	card := &Card{text: text}
	if err := yaml.NodeToValue(root, card, yaml.Strict()); err != nil {
		return nil, Mistakes{mistaken(err)}
	}
	c := &checking{card: card, places: newPlaces(text, root), held: held}
	c.all()
	if len(c.found) > 0 {
		slices.SortStableFunc(c.found, func(a, b *Mistake) int {
			return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
		})
		return nil, c.found
	}
	return card, nil
}

// plain refuses texts that no card can be, before they cost anything.
func plain(text string) *Mistake {
	switch {
	case len(text) > utf8.UTFMax*journal.MaxCardText || utf8.RuneCountInString(text) > journal.MaxCardText:
		return &Mistake{Line: 1, Column: 1, Problem: fmt.Sprintf("the card is longer than %d characters; shorten it", journal.MaxCardText)}
	case !utf8.ValidString(text):
		return &Mistake{Line: 1, Column: 1, Problem: "the card holds bytes that are not text; save it as UTF-8"}
	}
	line, depth := 1, 0
	for _, r := range text {
		switch r {
		case '\n':
			line++
		case '[', '{':
			depth++
		case ']', '}':
			depth--
		}
		if depth > deepest {
			return &Mistake{Line: line, Column: 1, Text: string(r), Problem: "too many brackets are open here; close some"}
		}
	}
	return nil
}

// simple refuses what the card format does not use: anchors, aliases, tags and
// merged things, by which a small text can stand for a huge one. It takes
// single words out of their text, since the YAML reader would go through the
// whole of that for every word that checks itself.
func simple(n ast.Node, depth int) *Mistake {
	refuse := func(what string) *Mistake {
		return atToken(n.GetToken(), what+" have no place in a route card; write the text out")
	}
	if depth > deepest {
		return atToken(n.GetToken(), "this is nested too deeply; a card has no such place")
	}
	var below []ast.Node
	switch n := n.(type) {
	case nil:
		return nil
	case *ast.StringNode:
		n.Token.Prev, n.Token.Next = nil, nil
	case *ast.AnchorNode:
		return refuse("anchors")
	case *ast.AliasNode:
		return refuse("aliases")
	case *ast.TagNode:
		return refuse("tags")
	case *ast.MergeKeyNode:
		return refuse("merges")
	case *ast.MappingNode:
		for _, v := range n.Values {
			below = append(below, v)
		}
	case *ast.MappingValueNode:
		below = []ast.Node{n.Key, n.Value}
	case *ast.MappingKeyNode:
		return refuse("keys with a question mark")
	case *ast.SequenceNode:
		below = n.Values
	}
	for _, b := range below {
		if b == nil {
			continue
		}
		if m := simple(b, depth+1); m != nil {
			return m
		}
	}
	return nil
}

// mistaken tells in our words what the YAML reader refused.
func mistaken(err error) *Mistake {
	var at interface{ GetToken() *token.Token }
	var unknown *yaml.UnknownFieldError
	var twice *yaml.DuplicateKeyError
	var typed *yaml.TypeError
	problem := "this cannot be read as YAML: " + err.Error()
	switch {
	case errors.As(err, &unknown):
		problem = "a card has no such field here; the card’s schema lists the fields"
	case errors.As(err, &twice):
		problem = "this is given twice; keep one of them"
	case errors.As(err, &typed):
		problem = fmt.Sprintf("this is not %s", shape(typed.DstType))
	default:
		var known yaml.Error
		if errors.As(err, &known) {
			problem = "this cannot be read as YAML: " + known.GetMessage()
		}
	}
	if errors.As(err, &at) {
		return atToken(at.GetToken(), problem)
	}
	return &Mistake{Line: 1, Column: 1, Problem: problem}
}
