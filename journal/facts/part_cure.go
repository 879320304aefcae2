package facts

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
)

func (w *Job) powder(p *partWork, g *Group) (f card.PowderFacts) {
	f.Received, f.Schedule = true, true
	for _, e := range p.coat() {
		c, ok := e.Data.(*journal.Coating)
		if !ok {
			continue
		}
		f.Done = true
		f.Coats = max(f.Coats, c.Coat)
		lot, line := w.stock.Lot(c.Lot)
		s := Statement{Quantity: Powder, Of: fmt.Sprint(c.Coat), Value: string(c.Lot)}
		switch {
		case lot == nil:
			f.Received = false
			s.Sure, s.Because = NotProven, NoReceipt
		case len(lot.Schedule) == 0:
			f.Schedule = false
			s.Sure, s.Because = NotProven, NoSchedule
		default:
			s.With = []Figure{with("colour", lot.Colour)}
		}
		g.state(s, e.Line, line)
	}
	if !f.Done {
		g.await(Powder, NoPowder)
		f.Received, f.Schedule = false, false
	}
	return f
}

// coatCure is what one coat has seen.
type coatCure struct {
	coat, bakes, proven    int
	over                   int // bakes that have ended
	strict, lenient, index float64
	doubt                  Statement // why nothing can be said
}

// cure adds up, for each coat that is on, what probes on the part showed of
// the bakes after it. Only such a probe can show that a coat is cured.
func (w *Job) cure(p *partWork, g *Group) (f card.CureFacts) {
	var coats []coatCure
	var coatings []*Event
	events := p.coat()
	for i := range events {
		if _, ok := events[i].Data.(*journal.Coating); ok {
			coatings = append(coatings, &events[i])
		}
	}
	bakes := bakesIn(events)
	for _, e := range coatings {
		coats = append(coats, w.cureOf(g, p.part.Subject, e, bakes))
	}
	if len(coats) == 0 {
		g.await(Schedule, NoPowder)
		return f
	}
	f.Baked, f.Proven, f.Lenient = true, true, true
	worst := -1
	words := []bake.Word{bake.NotProven, bake.NotCured, bake.CuredLenient, bake.Cured}
	for _, c := range coats {
		word := c.word()
		f.Baked = f.Baked && c.over > 0
		f.Proven = f.Proven && word == bake.Cured
		f.Lenient = f.Lenient && (word == bake.Cured || word == bake.CuredLenient)
		f.Index = max(f.Index, c.index)
		if rank := slices.Index(words, word); worst < 0 || rank < worst {
			worst, f.Verdict, f.Strict = rank, string(word), c.strict
		}
		switch {
		case c.bakes == 0:
			g.await(Schedule, NotBaked, fmt.Sprint(c.coat))
		case c.over == 0:
			g.await(Schedule, InOven, fmt.Sprint(c.coat))
		case word == bake.NotProven:
			g.state(c.doubt)
		default:
			g.state(Statement{
				Quantity: Schedule, Of: fmt.Sprint(c.coat), Value: fmt.Sprintf("%.2f", c.strict), Limit: Limit{Low: "1"}, Met: met(word == bake.Cured), Sure: Measured,
				With: []Figure{with("lenient", fmt.Sprintf("%.2f", c.lenient)), with("verdict", string(word))},
			})
		}
	}
	switch rules := bake.DefaultRules(); {
	case f.Index > rules.Reject.Value:
		f.Overbake = string(bake.OverbakeReject)
	case f.Index > rules.Caution.Value:
		f.Overbake = string(bake.OverbakeCaution)
	}
	return f
}

func (c coatCure) word() bake.Word {
	switch {
	case c.proven == 0:
		return bake.NotProven
	case c.strict >= 1:
		return bake.Cured
	case c.lenient >= 1:
		return bake.CuredLenient
	default:
		return bake.NotCured
	}
}

// cureOf adds up one coat's bakes.
func (w *Job) cureOf(g *Group, on journal.Subject, coat *Event, bakes []bakeRun) coatCure {
	d := coat.Data.(*journal.Coating)
	c := coatCure{coat: d.Coat, doubt: Statement{Quantity: Schedule, Of: fmt.Sprint(d.Coat), With: []Figure{with("lot", string(d.Lot))}, Met: NotKnown, Sure: NotProven, Because: NoProbe}}
	g.rests(coat.Line)
	lot, line := w.stock.Lot(d.Lot)
	var schedule bake.Schedule
	g.rests(line)
	err := errNoSchedule
	if lot != nil {
		schedule, err = scheduleOf(lot)
	}
	if err != nil {
		c.doubt.Because, c.doubt.Fault = BadSchedule, err
	}
	for _, b := range bakes {
		if b.start.before(coat) {
			continue
		}
		c.bakes++
		if b.over {
			c.over++
		}
		g.rests(b.start.Line)
		if err != nil {
			continue
		}
		if v, lines, ok := w.seen(b, on, schedule, d.Lot); ok {
			c.proven++
			c.strict += v.Strict
			c.lenient += v.Lenient
			c.index += v.Index
			g.rests(lines...)
		} else if len(b.traces) == 0 {
			c.doubt.Because = NoTemperatures
		}
	}
	return c
}

// bakeRun is one bake with what was logged in it.
type bakeRun struct {
	start  Event
	probes []bake.Probe
	traces []Event
	held   *Event // the cure.completed entry
	// over says that the bake has ended: somebody wrote so, its temperatures
	// are here, or work on the part went on.
	over bool
}

// bakesIn gathers the bakes among the events of one part.
func bakesIn(events []Event) []bakeRun {
	var bakes []bakeRun
	find := func(r journal.RunID) *bakeRun {
		for i := range bakes {
			if bakes[i].start.Line.Subject.Run() == r {
				return &bakes[i]
			}
		}
		return nil
	}
	for _, e := range events {
		if d, ok := e.Data.(*journal.BakeStart); ok {
			b := find(e.Line.Subject.Run())
			if b == nil {
				bakes = append(bakes, bakeRun{start: e})
				b = &bakes[len(bakes)-1]
			}
			b.probes = placed(b.probes, d.Probes)
		}
	}
	for _, e := range events {
		b := find(e.Line.Subject.Run())
		if b == nil {
			continue
		}
		switch d := e.Data.(type) {
		case *journal.ProbeTrace:
			if !slices.ContainsFunc(b.traces, func(o Event) bool { return sameTrace(d, o.Data.(*journal.ProbeTrace)) }) {
				b.traces = append(b.traces, e)
			}
		case *journal.Cure:
			b.held = &e
		}
	}
	for i := range bakes {
		bakes[i].over = bakes[i].held != nil || len(bakes[i].traces) > 0 || slices.ContainsFunc(events, bakes[i].followedBy)
	}
	return bakes
}

// followedBy reports whether an event is work on the part after it left the
// oven.
func (b *bakeRun) followedBy(e Event) bool {
	k := e.Data.Kind()
	return e.after(&b.start) && e.is(journal.PerCoat) && k != journal.BakeStarted && k != journal.ProbeLogged
}

// sameTrace tells a trace that was logged twice.
func sameTrace(a, b *journal.ProbeTrace) bool {
	return !a.File.IsZero() && a.File == b.File || a.Seconds == b.Seconds && slices.Equal(a.Channels, b.Channels)
}

// seen returns what the probes on a part saw of a bake. Of several traces of
// one bake the one that shows most decides alone, since two recorders, or one
// recorder twice, may have logged the same minutes.
func (w *Job) seen(b bakeRun, on journal.Subject, schedule bake.Schedule, lot journal.LotID) (best bake.Verdict, lines []*record.Line, ok bool) {
	for _, t := range b.traces {
		result, err := w.judge(t, b.probes, schedule, lot)
		if err != nil {
			continue
		}
		if v := result.On(string(on)); v.Word != bake.NotProven && (!ok || v.Strict > best.Strict) {
			best, lines, ok = v, []*record.Line{t.Line}, true
		}
	}
	return best, lines, ok
}
