package route

import (
	"fmt"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/types"
)

// rule is a compiled rule. It is safe for concurrent use.
type rule struct {
	program cel.Program
	// touches are the paths of the facts that the rule mentions, such as
	// part.mask.covered.
	touches []string
}

// costliest is how much a rule may cost; a rule of one line costs below a
// hundred.
const costliest = 100_000

// language is what rules of one level may say.
type language struct {
	env   *cel.Env
	facts *facts
}

// newLanguage declares the facts of the level and of what it lies in. Macros
// are left out, so that no rule can loop.
func newLanguage(card *Card, level Level) (*language, error) {
	f := newFacts(card)
	options := []cel.EnvOption{
		cel.CustomTypeProvider(f), cel.CustomTypeAdapter(f),
		cel.ClearMacros(), cel.CrossTypeNumericComparisons(true),
		cel.Variable("limits", f.object("limits")),
	}
	for _, root := range rootsOf(level) {
		options = append(options, cel.Variable(root, f.object(root)))
	}
	env, err := cel.NewEnv(options...)
	if err != nil {
		return nil, fmt.Errorf("prepare the rule language: %w", err)
	}
	return &language{env: env, facts: f}, nil
}

// rootsOf returns the facts that rules of a level may use.
func rootsOf(level Level) []string {
	switch level {
	case OnPart:
		return []string{"part", "corner", "vehicle"}
	case OnCorner:
		return []string{"corner", "vehicle"}
	default:
		return []string{"vehicle"}
	}
}

// compile checks the rule at a path of the card. No text gives no rule.
func (c *checking) compile(l *language, path, text string) *rule {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	checked, issues := l.env.Compile(text)
	if issues.Err() != nil {
		for _, e := range issues.Errors() {
			c.found = append(c.found, c.places.within(path, text, e.Location.Line(), e.Location.Column(), plainer(e.Message)))
		}
		return nil
	}
	if !checked.OutputType().IsExactType(cel.BoolType) {
		c.found = append(c.found, c.places.within(path, text, 1, 0, fmt.Sprintf("this gives %s; a rule says yes or no", checked.OutputType())))
		return nil
	}
	program, err := l.env.Program(checked, cel.CostLimit(costliest))
	if err != nil {
		c.add(path, "this rule cannot be used: %s", err)
		return nil
	}
	return &rule{program: program, touches: touched(checked.NativeRep().Expr())}
}

// plainer leaves out of a message what only the rule language's makers need.
func plainer(message string) string {
	message = strings.TrimSuffix(message, " (in container '')")
	message = strings.TrimPrefix(message, "ERROR: ")
	return "the rule cannot be read: " + strings.Join(strings.Fields(message), " ")
}

// touched returns the paths of facts in an expression, each once, sorted.
func touched(e ast.Expr) []string {
	var paths []string
	ast.PostOrderVisit(e, ast.NewExprVisitor(func(e ast.Expr) {
		if path := pathOf(e); strings.Contains(path, ".") && !slices.Contains(paths, path) {
			paths = append(paths, path)
		}
	}))
	slices.Sort(paths)
	return paths
}

func pathOf(e ast.Expr) string {
	switch e.Kind() {
	case ast.IdentKind:
		return e.AsIdent()
	case ast.SelectKind:
		if of := pathOf(e.AsSelect().Operand()); of != "" {
			return of + "." + e.AsSelect().FieldName()
		}
	}
	return ""
}

// scope is the facts that one hold is judged on.
type scope struct {
	part    *partFacts
	corner  *cornerFacts
	vehicle *vehicleFacts
	limits  limits
}

// ResolveName gives the rule language the facts by name.
func (s *scope) ResolveName(name string) (any, bool) {
	switch {
	case name == "part" && s.part != nil:
		return s.part, true
	case name == "corner" && s.corner != nil:
		return s.corner, true
	case name == "vehicle":
		return s.vehicle, true
	case name == "limits":
		return s.limits, true
	}
	return nil, false
}

// Parent ends the search.
func (s *scope) Parent() cel.Activation { return nil }

// holds evaluates the rule. No rule gives yes.
func (r *rule) holds(s *scope) (bool, error) {
	if r == nil {
		return true, nil
	}
	out, _, err := r.program.Eval(s)
	if err != nil {
		return false, fmt.Errorf("work out the rule: %w", err)
	}
	return out == types.True, nil
}
