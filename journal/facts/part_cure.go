package facts

import (
	"fmt"
	"math"
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
	coat, bakes            int
	over                   int // bakes that have ended
	unproven               int // of these, the ones of which nothing can be said
	strict, lenient, index float64
	most                   bake.Limit // that the sheet allows
	by                     []Figure   // whose probe decided
	doubt                  Statement  // why nothing can be said
}

// cure adds up, for each coat that is on, what probes on the part showed of
// the bakes after it, or those on the part that stands for it. Only such a
// probe can show that a coat met its schedule.
func (w *Job) cure(p *partWork, g *Group) (f card.CureFacts) {
	events := p.coat()
	bakes := bakesIn(events)
	var coats []coatCure
	for i := range events {
		if _, ok := events[i].Data.(*journal.Coating); ok {
			coats = append(coats, w.cureOf(g, p.part.Subject, &events[i], bakes))
		}
	}
	if len(coats) == 0 {
		g.await(Schedule, NoPowder)
		return f
	}
	f.Baked, f.Proven, f.Lenient = true, true, true
	worst := bake.Met
	f.Strict = math.Inf(1)
	for _, c := range coats {
		word := c.word()
		f.Baked = f.Baked && c.over > 0
		f.Proven = f.Proven && word == bake.Met
		f.Lenient = f.Lenient && (word == bake.Met || word == bake.MetLenient)
		f.Index = math.Max(f.Index, c.index)
		f.Strict = math.Min(f.Strict, c.strict)
		worst = bake.Worse(worst, word)
		switch {
		case c.bakes == 0:
			g.await(Schedule, NotBaked, fmt.Sprint(c.coat))
		case c.over == 0:
			g.await(Schedule, InOven, fmt.Sprint(c.coat))
		case word == bake.NotProven:
			g.state(c.doubt)
		default:
			g.state(Statement{
				Quantity: Schedule, Of: fmt.Sprint(c.coat), Value: bake.Hundredths(c.strict), Limit: Limit{Low: "1"}, Met: met(word == bake.Met), Sure: Measured,
				With: append([]Figure{with("lenient", bake.Hundredths(c.lenient)), with("verdict", string(word))}, c.by...),
			})
		}
		if w.overbaked(g, c) {
			f.Overbake = string(bake.OverSheet)
		}
	}
	f.Verdict = string(worst)
	if shift := colourShift(events); shift != nil {
		d := shift.Data.(*journal.Defect)
		f.Overbake = d.Called()
		g.state(Statement{Quantity: Overbake, Of: d.Called(), With: []Figure{with("face", d.Face)}, Met: No}, shift.Line)
	}
	return f
}

// overbaked says whether a coat had more than its powder's sheet allows. No
// other number says that it was too much.
func (w *Job) overbaked(g *Group, c coatCure) bool {
	if c.most.Source == "" || c.index == 0 {
		return false
	}
	over := c.index > c.most.Value
	g.state(Statement{
		Quantity: Overbake, Of: fmt.Sprint(c.coat), Value: fmt.Sprintf("%.2f", c.index), Limit: Limit{High: fmt.Sprintf("%.2f", c.most.Value)},
		Source: c.most.Source, Met: met(!over), Sure: Measured,
	})
	return over
}

// colourShift finds what somebody saw of a film that was baked too much. Off
// colour of which nobody names another cause counts as that.
func colourShift(events []Event) *Event {
	return lastOf(events, func(e Event) bool {
		d, ok := e.Data.(*journal.Defect)
		return ok && d.Looks == journal.OffColour && d.MayComeFrom(journal.TooMuchHeat)
	})
}

func (c coatCure) word() bake.Word {
	switch {
	case c.strict >= 1:
		return bake.Met
	case c.over == 0 || c.unproven > 0:
		return bake.NotProven
	case c.lenient >= 1:
		return bake.MetLenient
	default:
		return bake.NotMet
	}
}

// cureOf adds up one coat's bakes.
func (w *Job) cureOf(g *Group, on journal.Subject, coat *Event, bakes []bakeRun) coatCure {
	d := coat.Data.(*journal.Coating)
	c := coatCure{coat: d.Coat, doubt: Statement{Quantity: Schedule, Of: fmt.Sprint(d.Coat), With: []Figure{with("lot", string(d.Lot))}, Met: NotKnown, Sure: NotProven, Because: NoProbe}}
	g.rests(coat.Line)
	lot, line := w.stock.Lot(d.Lot)
	g.rests(line)
	schedule, err := bake.Schedule{}, errNoSchedule
	if lot != nil {
		schedule, err = scheduleOf(lot)
	}
	if err == nil {
		c.most = schedule.Most(pointsOf(lot.Most)...)
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
			c.unproven++
			c.doubt.Because, c.doubt.Fault = BadSchedule, err
			continue
		}
		w.add(&c, g, b, on, schedule, d.Lot)
	}
	return c
}

// add adds what one bake showed of a part to what its coat has seen.
func (w *Job) add(c *coatCure, g *Group, b bakeRun, on journal.Subject, schedule bake.Schedule, lot journal.LotID) {
	shown := w.stock.shownBy(on, b.probes, b.stands)
	v, lines := w.seen(b, shown.On, schedule, lot)
	switch {
	case !b.over:
		return
	case shown.Because != "":
		c.doubt.Because, c.doubt.Value = shown.Because, string(shown.On)
	case len(b.logs) == 0:
		c.doubt.Because = NoTemperatures
	case len(lines) == 0:
		c.doubt.Because = NoProbe
	case v.Word == bake.NotProven:
		c.doubt.Because, c.doubt.Result = NotShown, clause(v.Doubt)
	}
	if shown.Because != "" || v.Word == bake.NotProven {
		c.unproven++
	}
	if shown.Because == "" {
		c.strict += v.Strict
		c.lenient += v.Lenient
		c.index += v.Index
		c.by = shown.figures(v)
		g.rests(lines...)
	}
}

// bakeRun is one bake with what was logged in it.
type bakeRun struct {
	start  Event
	probes []bake.Probe
	stands []journal.StandIn
	traces []Event
	logs   []recording
	held   *Event // the cure.completed entry
	out    *Event // the first work on the part after it left the oven
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
			b.stands = append(b.stands, d.StandIns...)
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
		bakes[i].logs = recordings(bakes[i].traces)
		if next := slices.IndexFunc(events, bakes[i].followedBy); next >= 0 {
			bakes[i].out = &events[next]
		}
		bakes[i].over = bakes[i].held != nil || len(bakes[i].traces) > 0 || bakes[i].out != nil
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

// seen returns what the probes on a part saw of a bake: of several recorders
// the one that shows the least.
func (w *Job) seen(b bakeRun, on journal.Subject, schedule bake.Schedule, lot journal.LotID) (bake.Verdict, []*record.Line) {
	var verdicts []bake.Verdict
	var lines []*record.Line
	for _, l := range b.logs {
		if !l.touches(on, b.probes) {
			continue
		}
		if result, err := w.judge(l, b.probes, schedule, lot); err == nil {
			verdicts = append(verdicts, result.On(string(on)))
			lines = append(lines, l.lines...)
		}
	}
	if len(verdicts) == 0 {
		return bake.Verdict{Word: bake.NotProven}, nil
	}
	return bake.Least(verdicts...), lines
}
