package facts

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// work is one kind of work on a coat: the first time that it was done, and the
// last time before the powder, or if it was not done before that, the first
// time after it.
type work struct {
	name        string
	first, last *Event
}

// order finds work on this coat that was done in the wrong order: what was not
// degreased is not blasted, heated or masked, no blasting follows the masking,
// and the powder comes after all of it. When the part is soaked in between is
// free, and so is blasting it again after oil has sweated out. What was not
// done is in no wrong order.
func (p *partWork) order(g *Group) (f card.OrderFacts) {
	powder, _ := first[journal.Coating](p.coat(), nil)
	if powder == nil {
		g.await(StepOrder, NoPowder)
		return f
	}
	f.Begun = true
	degreased, blasted, masked, soaked := p.work("degreased", isDegreasing), p.work("blasted", isBlasting), p.work("masked", isMasking), p.work("soaked", isSoaking)
	coated := work{"coated", powder, powder}
	for _, rule := range []struct {
		name  string
		at    *Event
		later work
		came  *Event
	}{
		{degreased.name, degreased.first, blasted, blasted.first},
		{degreased.name, degreased.first, masked, masked.last},
		{degreased.name, degreased.first, soaked, soaked.first},
		{blasted.name, blasted.last, masked, masked.last},
		{degreased.name, degreased.last, coated, powder},
		{blasted.name, blasted.last, coated, powder},
		{masked.name, masked.last, coated, powder},
		{soaked.name, soaked.last, coated, powder},
	} {
		if rule.came.before(rule.at) {
			f.Wrong = append(f.Wrong, fmt.Sprintf("%s before %s", rule.later.name, rule.name))
			g.lose(rule.at.Line, Statement{About: g.About, Quantity: StepOrder, Value: rule.later.name, With: []Figure{with("before", rule.name)}, Met: No, Sure: Undone, Because: WrongOrder})
		}
	}
	done := slices.DeleteFunc([]work{degreased, blasted, masked, soaked, coated}, func(w work) bool { return w.last == nil })
	for _, w := range done {
		g.rests(w.last.Line)
	}
	if len(f.Wrong) == 0 {
		slices.SortStableFunc(done, func(a, b work) int { return Compare(a.last.Line, b.last.Line) })
		g.state(Statement{Quantity: StepOrder, Value: strings.Join(names(done), ", then "), Met: Yes})
	}
	return f
}

func (p *partWork) work(name string, wanted func(journal.Payload) bool) work {
	w := work{name: name}
	w.last, _ = p.before(wanted)
	coat := p.coat()
	for i := range coat {
		if wanted(coat[i].Data) {
			w.first = &coat[i]
			break
		}
	}
	return w
}

func names(list []work) (all []string) {
	for _, w := range list {
		all = append(all, w.name)
	}
	return all
}
