package facts

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// LookAgainAfter is how long the one person of a shop usually waits until a look
// at work of their own counts. The card's own limit decides.
const LookAgainAfter = 30 * time.Minute

// LookAgainIn is how long the one person of a shop still has to wait, by the
// time of day, until a look at a line of a job usually counts. It counts from that
// line or from the last work that asks for a second look, whichever is later.
func LookAgainIn(job *record.Job, of *record.Line, now time.Time) time.Duration {
	from := time.Time(of.Clocks.Device)
	for _, l := range job.Timeline() {
		if at := time.Time(l.Clocks.Device); l.Effect() != nil && l.Kind.Is(journal.AsksSecondLook) && at.After(from) {
			from = at
		}
	}
	return max(0, LookAgainAfter-now.Sub(from))
}

// second looks for somebody who looked at the work on the brakes after it was
// done: another person, or in a shop of one the same person again.
func (w *Job) second(g *Group) (f card.SecondFacts) {
	s := secondLook{Job: w, group: g}
	for _, e := range w.all {
		if e.is(journal.WorksOnBrakes | journal.ChecksBrakes) {
			s.work = append(s.work, e)
		}
	}
	if len(s.work) == 0 {
		g.await(SecondLook, NoSecondLook)
		return f
	}
	s.asks = lastOf(w.all, doing(journal.AsksSecondLook))
	if s.last = s.asks; s.last == nil {
		s.last = &s.work[len(s.work)-1]
	}
	f.Wanted, f.Alone = s.another(), s.ofOne(s.last.Line) || s.ofOne(w.job.Released)
	if f.Alone {
		g.await(OwnLook, NoOwnLook)
	}
	g.await(SecondLook, NoSecondLook)
	for i := range w.all {
		if d, ok := w.all[i].Data.(*journal.SecondCheck); ok {
			s.judge(&f, &w.all[i], d)
		}
	}
	return f
}

// secondLook is the search for a second look that counts.
type secondLook struct {
	*Job
	group *Group
	work  []Event // on the brakes, and checks of them
	asks  *Event  // the last work that asks for a second look, nil without
	last  *Event  // the same, or else the last work of all
}

// another reports whether somebody did not do all the work alone who was
// authorised for second checks when others did it, or is when the vehicle is
// handed back: a duty that is taken away in between takes no check away.
func (s *secondLook) another() bool {
	for _, p := range s.shop.People {
		for _, e := range s.work {
			if e.Line.By != p.ID && (s.May(p.ID, journal.SecondCheckDuty, s.job.Released) || s.May(p.ID, journal.SecondCheckDuty, e.Line)) {
				return true
			}
		}
	}
	return false
}

// judge judges one look. A later one takes the place of earlier ones.
func (s *secondLook) judge(f *card.SecondFacts, e *Event, d *journal.SecondCheck) {
	of := lastOf(s.work, func(x Event) bool { return x.Line.ID == d.Of })
	own := of != nil && of.Line.By == e.Line.By
	var beside *record.Line // who makes it a shop of several
	alone := false
	if own && f.Alone {
		beside, alone = s.alone(s.last, e)
	}
	switch {
	case of == nil:
		s.group.state(s.uncounted(e, d, NotTheseBrakes))
	case own && f.Alone && !alone:
		s.group.state(s.uncounted(e, d, NotAlone, s.initials("other", beside)...), beside)
	case own && !alone:
		s.group.state(s.uncounted(e, d, OwnWork))
	case !own && !s.May(e.Line.By, journal.SecondCheckDuty, e.Line):
		s.group.state(s.uncounted(e, d, NotAuthorised))
	case d.Finds != journal.FoundRight:
		f.Done, f.Again = false, false
		s.group.rests(e.Line)
		s.group.undo(e.Line, SecondLook, FoundWrong, s.shop.Initials(e.Line.By))
	case e.before(s.asks):
		s.group.rests(e.Line, of.Line)
		s.group.undo(s.asks.Line, SecondLook, WorkAfterLook)
	case !own:
		f.Done, *s.group = true, Group{About: s.group.About, in: s.group.in}
		s.group.state(s.counted(e, d, of), e.Line, of.Line)
	case f.Done: // somebody else looked, which is more
	case !s.ownPhoto(e.Line):
		s.group.state(s.uncounted(e, d, PhotoOfAnother))
	case len(d.Tried) == 0:
		s.group.state(s.uncounted(e, d, NothingTried))
	default:
		s.again(f, e, d, of)
	}
}

// again states that the one person of the shop looked again, and how long
// after the work.
func (s *secondLook) again(f *card.SecondFacts, e *Event, d *journal.SecondCheck, of *Event) {
	from := s.last
	if of.after(from) {
		from = of
	}
	proven, told := s.atLeast(from, e)
	if f.Again && proven.Minutes() < f.Minutes {
		return
	}
	f.Again, f.Minutes, *s.group = true, proven.Minutes(), Group{About: s.group.About, in: s.group.in}
	is := s.counted(e, d, of)
	is.Quantity, is.Value, is.Unit, is.Met, is.Sure = OwnLook, minutes(proven), "min", NotAsked, Reckoned
	if told > proven+time.Minute {
		is.With = append(is.With, Figure{Name: "by time of day", Value: minutes(told), Unit: "min"})
	}
	s.group.state(is, e.Line, of.Line, from.Line)
}

// minutes writes whole minutes that have passed.
func minutes(d time.Duration) string { return fmt.Sprint(int(d / time.Minute)) }

// counted states a look at work, with whose work it was and which entry.
func (s *secondLook) counted(e *Event, d *journal.SecondCheck, of *Event) Statement {
	is := Statement{Quantity: SecondLook, Of: string(e.Line.By), Value: string(d.Finds), Met: Yes, With: []Figure{
		with("initials", s.shop.Initials(e.Line.By)), with("work", of.Line.Kind.Work()), with("at", of.Line.Subject.Within()),
		with("by", s.shop.Initials(of.Line.By)), s.stock.told("written", of.Line.Clocks.Device),
	}}
	for _, what := range d.Tried {
		is.With = append(is.With, with("tried", what))
	}
	if on := s.joined(e.Line.By); After(on, s.last.Line) {
		is.With = append(is.With, with("joined", "after that work"))
		if !s.on(e.Line.By, s.job.Released) {
			is.With = append(is.With, with("left", "before handover"))
		}
	}
	return is
}

// uncounted states that a look does not count.
func (s *secondLook) uncounted(e *Event, d *journal.SecondCheck, because Cause, more ...Figure) Statement {
	is := Statement{Quantity: SecondLook, Of: string(e.Line.By), Met: NotKnown, Sure: NotProven, Because: because, Entries: []EntryID{e.Line.ID},
		With: append([]Figure{with("initials", s.shop.Initials(e.Line.By))}, more...)}
	if lines := s.shop.Line(d.Of); because == NotTheseBrakes && len(lines) > 0 {
		is.With = append(is.With, with("says", lines[0].Says()))
	}
	return is
}

// initials names the person that a line of the register is about.
func (s *secondLook) initials(as string, l *record.Line) []Figure {
	if l == nil {
		return nil
	}
	return []Figure{with(as, s.shop.Initials(journal.PersonID(l.Subject.Last())))}
}

// ownPhoto reports whether a line has a photograph that no entry before it
// has.
func (s *secondLook) ownPhoto(l *record.Line) bool {
	for _, p := range l.Photos {
		own := true
		for _, other := range s.shop.Showing(p.Ref) {
			own = own && (other.ID == l.ID || After(other, l))
		}
		if own {
			return true
		}
	}
	return false
}

// atLeast returns how much time passed from work to a look: what is proven,
// and what the times of day say. Only a running clock proves it, since a time
// of day can be set: that of the device on which the look was written, since
// it wrote the work or an entry after the work, or since it was started after
// the work. Where the time of day says less than the running clock, which
// stands still and jumps while some machines sleep, that much is proven.
func (s *secondLook) atLeast(work, look *Event) (proven, told time.Duration) {
	told = between(work.Line, look.Line)
	if work.Line.Device == look.Line.Device && work.Line.Clocks.Boot != look.Line.Clocks.Boot {
		proven = min(time.Duration(look.Line.Clocks.Uptime), told)
	}
	for i := range s.all {
		e := &s.all[i]
		if e.before(work) || e.after(look) {
			continue
		}
		if passed, by := elapsed(e.Line, look.Line); by == RunningClock {
			proven = max(proven, min(passed, between(e.Line, look.Line)))
		}
	}
	return max(proven, 0), told
}
