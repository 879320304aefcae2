package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/words"
)

// adhesion takes the worst cross-cut test of the film that is on now. A test
// that was made before more powder or heat says nothing of it.
func (p *partWork) adhesion(g *Group) (f card.AdhesionFacts) {
	changed := lastOf(p.coat(), doing(journal.ChangesFilm))
	for _, e := range p.coat() {
		d, ok := e.Data.(*journal.AdhesionTest)
		if !ok || e.before(changed) {
			continue
		}
		f.Done = true
		g.state(adhesionStatement(d), e.Line)
		if r, err := film.JudgeCrossCut(string(d.Scale), d.Class); err != nil {
			f.Worst = worstCrossCut
		} else {
			f.Worst = max(f.Worst, r.Class)
		}
	}
	return f
}

// worstCrossCut is the worst class there is.
const worstCrossCut = 5

// adhesionStatement says what a cross-cut test came to.
func adhesionStatement(d *journal.AdhesionTest) Statement {
	s := Statement{Quantity: Adhesion, Of: string(d.On), Value: d.Class, With: []Figure{with("scale", string(d.Scale))}, Source: practice}
	r, err := film.JudgeCrossCut(string(d.Scale), d.Class)
	if err != nil {
		s.Met, s.Sure, s.Because, s.Fault = NotKnown, NotProven, CannotJudge, err
		return s
	}
	s.With = append(s.With, with("came off", r.Off))
	s.Limit, s.Met = Limit{Words: fmt.Sprintf("class %d of ISO 2409 or better", film.UsualCrossCut)}, met(r.Pass)
	return s
}

// adhesionWords says what a cross-cut test came to, and on what it was made.
func (s Statement) adhesionWords() string {
	text := fmt.Sprintf("cross-cut class %s by %s on the %s", s.Value, s.Has("scale"), s.Of)
	if s.Fault != nil {
		return text + ": " + s.Fault.Error()
	}
	return text + words.Fill(", %s", s.Has("came off")) + words.Choose(s.Met == No, ": fails", ": passes")
}
