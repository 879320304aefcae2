package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// heated is one soak or bake of a part, and how long the metal was so hot in it
// that it counts.
type heated struct {
	line     *record.Line
	rests    []*record.Line // on these too
	bake     journal.RunID  // "" of a soak
	minutes  float64
	measured bool // by a probe on the part, or it was not so hot
	open     bool // of a bake of which nobody wrote how long it was, so that it counts nothing
}

// heated lists the soaks of a part, and then its bakes.
func (w *Job) heated(on journal.Subject, events []Event) (list []heated) {
	for _, e := range events {
		s, ok := e.Data.(*journal.Soaking)
		if !ok {
			continue
		}
		h, metal := heated{line: e.Line, measured: true}, s.Set
		if !s.Metal.IsZero() {
			metal = s.Metal
		}
		if metal.In(unit.Celsius) > heatAbove() {
			h.minutes, h.measured = s.Held.In(unit.Minute), false
		}
		list = append(list, h)
	}
	for _, b := range bakesIn(events) {
		h := heated{line: b.start.Line, bake: b.start.Line.Subject.Run()}
		h.minutes, h.measured = w.minutes(b, on)
		h.open = !b.over && !h.measured
		for _, t := range b.traces {
			h.rests = append(h.rests, t.Line)
		}
		list = append(list, h)
	}
	return list
}

// heatSum is the heat of several soaks and bakes.
type heatSum struct {
	minutes    float64
	runs, open int
	guessed    bool // not all of it was measured
	rests      []*record.Line
}

func (s *heatSum) add(h heated) {
	s.runs++
	s.minutes += h.minutes
	s.guessed = s.guessed || !h.measured
	s.rests = append(append(s.rests, h.line), h.rests...)
	if h.open {
		s.open++
	}
}

func (s *heatSum) join(o heatSum) {
	s.runs, s.open, s.minutes, s.guessed = s.runs+o.runs, s.open+o.open, s.minutes+o.minutes, s.guessed || o.guessed
	s.rests = append(s.rests, o.rests...)
}

// heatBy states the heat that a casting has had.
func (s *Stock) heatBy(about journal.Subject, sum heatSum) Statement {
	out := Statement{About: about, Quantity: HeatDose, Value: fmt.Sprintf("%.0f", sum.minutes), Unit: "min", With: []Figure{shown("above", s.heatFrom())}, Sure: Measured, in: s.Writing()}
	if sum.guessed {
		out.Sure = AtMost
	}
	if sum.open > 0 {
		out.With = append(out.With, with("open", fmt.Sprint(sum.open)))
	}
	return out
}

// ranHot states the heat of one soak or bake.
func (s *Stock) ranHot(about journal.Subject, h heated) Statement {
	out := Statement{About: about, Quantity: HeatOfRun, Of: string(h.bake), Value: fmt.Sprintf("%.0f", h.minutes), Unit: "min", With: []Figure{shown("above", s.heatFrom())}, Sure: Measured, in: s.Writing()}
	switch {
	case h.open:
		out.Value, out.Unit, out.Met, out.Sure, out.Because = "", "", NotKnown, NotProven, NotOnRecord
	case !h.measured:
		out.Sure = AtMost
	}
	return out.on(append([]*record.Line{h.line}, h.rests...)...)
}
