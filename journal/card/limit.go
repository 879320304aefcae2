package card

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/unit"

	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
)

// Limit is a figure of the shop and where it comes from.
type Limit struct {
	Is     float64 `yaml:"is"`
	Unit   string  `yaml:"unit,omitempty"`
	Source string  `yaml:"source"`
}

// String returns the figure with its unit.
func (l Limit) String() string {
	return strings.TrimSpace(strconv.FormatFloat(l.Is, 'f', -1, 64) + " " + l.Unit)
}

// in returns the figure in the unit of a fact, and reports false where that is
// of another quantity. One that has no unit is taken to be in it, and the unit
// of a count may be any word that is not one of a quantity.
func (l Limit) in(of string) (is float64, ok bool) {
	from, times := spanned(l.Unit)
	switch {
	case l.Unit == "":
		return l.Is, true
	case of == "":
		return l.Is, !unit.Known(from)
	}
	to, over := spanned(of)
	is, ok = unit.Between(l.Is, from, to)
	return is * times / over, ok
}

// spanned returns what a unit is a multiple of. Days, and the words for spans of
// time, are no units of what is typed into an entry, but a card may say them.
func spanned(spelling string) (of string, times float64) {
	switch spelling {
	case "d", "day", "days":
		return unit.Hour.String(), 24
	case "hour", "hours":
		return unit.Hour.String(), 1
	case "minute", "minutes":
		return unit.Minute.String(), 1
	case "second", "seconds":
		return unit.Second.String(), 1
	}
	return spelling, 1
}

// limits are the figures of a card as one rule asks for them.
type limits map[string]float64

// figured returns the figures of the card, each in the unit of the facts that
// the rule compares it with. A rule that multiplies or divides a figure first
// is given it as it is written, since only its author knows what comes of that.
func (c *checking) figured(l *language, rule ast.Expr) (limits, *misfit) {
	figures := make(limits, len(c.card.Limits))
	for name, is := range c.card.Limits {
		figures[name] = is.Is
	}
	compared := make(map[string]string) // the fact that a figure was compared with first
	var wrong *misfit
	refuse := func(name, format string, args ...any) {
		m := &misfit{name, fmt.Sprintf(format, args...)}
		wrong = cmp.Or(wrong, m)
		if !c.held {
			c.unfit(m)
		}
	}
	ast.PostOrderVisit(rule, ast.NewExprVisitor(func(e ast.Expr) {
		facts, names := l.sides(e)
		for _, name := range names {
			for _, fact := range facts {
				in := l.facts.at(fact).unit
				is, ok := c.card.Limits[name].in(in)
				switch other := compared[name]; {
				case !ok && in == "":
					refuse(name, "a rule compares this limit with %s, which is a bare number; leave the unit out", fact)
				case !ok:
					refuse(name, "a rule compares this limit with %s, which is in %s; give it in that, or in another unit of the same quantity", fact, in)
				case other != "" && figures[name] != is:
					refuse(name, "one rule compares this limit with %s and with %s, which are in different units; give each a limit of its own", other, fact)
				default:
					figures[name], compared[name] = is, fact
				}
			}
		}
	}))
	return figures, wrong
}

// misfit says that a limit cannot be held against the facts that a rule
// compares it with.
type misfit struct{ limit, problem string }

// Error names the limit.
func (m *misfit) Error() string { return fmt.Sprintf("limit %s: %s", m.limit, m.problem) }

// unfit tells of a limit in the card's text, once however many rules ask for it.
func (c *checking) unfit(m *misfit) {
	told := c.places.mistake("limits."+m.limit+".unit", "%s", m.problem)
	if !slices.ContainsFunc(c.found, func(other *Mistake) bool { return other.Line == told.Line && other.Column == told.Column }) {
		c.found = append(c.found, told)
	}
}

// sides returns the numbers among the facts, and the names of the limits, that
// an expression holds against each other; nothing of one that does not compare,
// and of one in which something is multiplied or divided.
func (l *language) sides(e ast.Expr) (facts, names []string) {
	if !compares(e) {
		return nil, nil
	}
	for _, arg := range e.AsCall().Args() {
		plain := operands(arg, func(path string) {
			if name, is := strings.CutPrefix(path, "limits."); is {
				names = append(names, name)
			} else if m := l.facts.at(path); m.Type == types.IntType || m.Type == types.DoubleType {
				facts = append(facts, path)
			}
		})
		if !plain {
			return nil, nil
		}
	}
	return facts, names
}

// compares reports whether an expression holds two figures against each other.
func compares(e ast.Expr) bool {
	return e.Kind() == ast.CallKind && slices.Contains([]string{
		operators.Less, operators.LessEquals, operators.Greater, operators.GreaterEquals, operators.Equals, operators.NotEquals,
	}, e.AsCall().FunctionName())
}

// operands tells the paths whose values come to be a side of a comparison as
// they are, or added up. It reports false where they are worked on otherwise.
func operands(e ast.Expr, tell func(path string)) bool {
	if path := pathOf(e); path != "" {
		tell(path)
		return true
	}
	if e.Kind() != ast.CallKind {
		return true
	}
	args := e.AsCall().Args()
	switch e.AsCall().FunctionName() {
	case operators.Add, operators.Subtract, operators.Negate, "double", "int":
	case operators.Conditional:
		args = args[1:] // what it asks is a comparison of its own
	case operators.Multiply, operators.Divide, operators.Modulo:
		return false
	default:
		return true
	}
	for _, arg := range args {
		if !operands(arg, tell) {
			return false
		}
	}
	return true
}
