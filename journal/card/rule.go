package card

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
	figures limits
	unfit   *misfit  // why nobody can work it out
	groups  []string // of facts that the rule mentions, such as part.mask
}

// costliest is how much a rule may cost; a rule of one line costs below a
// hundred.
const costliest = 100_000

// language is what rules of one level may say.
type language struct {
	env   *cel.Env
	facts *vocabulary
}

// newLanguage declares the facts of the level and of what it lies in. Macros
// are left out, so that no rule can loop.
func newLanguage(card *Card, level Level) (*language, error) {
	f := newVocabulary(card)
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
	r := &rule{program: program}
	expr := checked.NativeRep().Expr()
	r.figures, r.unfit = c.figured(l, expr)
	for _, path := range touched(expr) {
		if g := l.facts.group(path); g != "" && !slices.Contains(r.groups, g) {
			r.groups = append(r.groups, g)
		}
	}
	return r
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

// Scope is the facts that one hold is judged on. Part and Corner are nil
// where they do not belong to the hold's level.
type Scope struct {
	Part    *PartFacts
	Corner  *CornerFacts
	Vehicle *VehicleFacts
}

// activation gives the rule language the facts and the card's figures by name.
type activation struct {
	Scope
	limits limits
}

// ResolveName returns what a name at the head of a path stands for.
func (a *activation) ResolveName(name string) (any, bool) {
	switch {
	case name == "part" && a.Part != nil:
		return a.Part, true
	case name == "corner" && a.Corner != nil:
		return a.Corner, true
	case name == "vehicle":
		return a.Vehicle, true
	case name == "limits":
		return a.limits, true
	}
	return nil, false
}

// Parent ends the search.
func (a *activation) Parent() cel.Activation { return nil }

// holds evaluates the rule. No rule gives yes.
func (r *rule) holds(s Scope) (bool, error) {
	switch {
	case r == nil:
		return true, nil
	case r.unfit != nil:
		return false, r.unfit
	}
	out, _, err := r.program.Eval(&activation{s, r.figures})
	if err != nil {
		return false, fmt.Errorf("work out the rule: %w", err)
	}
	return out == types.True, nil
}

// Concerns reports whether the stage is for a thing with those facts.
func (s *Stage) Concerns(at Scope) bool {
	concerned, err := s.when.holds(at)
	return concerned || err != nil
}

// Concerns reports whether the photograph is wanted of a thing with those facts.
func (p *Picture) Concerns(s Scope) bool {
	concerned, err := p.when.holds(s)
	return concerned || err != nil
}

// Concerns reports whether the hold is for a thing with those facts.
func (h *Hold) Concerns(s Scope) bool {
	concerned, err := h.when.holds(s)
	return concerned || err != nil
}

// Begun reports whether the rule can be judged by now. Known is false for a
// hold that does not say when.
func (h *Hold) Begun(s Scope) (begun, known bool) {
	if h.once == nil {
		return false, false
	}
	begun, err := h.once.holds(s)
	return begun && err == nil, true
}

// Right reports whether the facts are as the rule wants them.
func (h *Hold) Right(s Scope) (bool, error) { return h.rule.holds(s) }

// Groups returns the groups of facts that the rule touches, such as part.mask
// and corner.joints.banjo, in the order in which a verdict tells of them.
func (h *Hold) Groups() []string { return h.rule.groups }
