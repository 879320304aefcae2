package facts

import (
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Coverage is a complaint held against the warranty that was promised by then:
// what lies inside and what outside. Whether the shop answers for it, a person
// decides.
type Coverage struct {
	Claim      *record.Line
	Warranty   *journal.Warranty // nil if none had been promised by then
	Questions  []string          // that the warranty asks at a complaint
	Answers    []journal.ClaimAnswer
	Statements []Statement
}

// Answer is the answer to a question, "" if nobody gave one.
func (c Coverage) Answer(question string) journal.ClaimReply {
	for _, a := range c.Answers {
		if a.Question == question {
			return a.Answer
		}
	}
	return ""
}

// byMonths says how months are counted, wherever they are.
const byMonths = "Calendar months from the day of handover, which itself is not counted: the last day, still inside, bears the same number as the day of handover or, where its month is shorter, is the last of that month. Each day is taken by the clock of its entry"

// Coverage holds a complaint against the warranty: with the answers of the
// decision that counts last, if there is one.
func (s *Stock) Coverage(claim *record.Line) Coverage {
	var answers []journal.ClaimAnswer
	for _, l := range s.decisions(claim) {
		answers = s.effect(l).(*journal.ClaimDecision).Answers
	}
	return s.coverage(claim, answers)
}

// decisions are those about a complaint that count.
func (s *Stock) decisions(claim *record.Line) []*record.Line {
	return decisions(s.jobLines(claim), claim, s.effect)
}

// Decisions are those about a complaint of a job that count, in the order of
// replay: the last one holds.
func Decisions(job *record.Job, claim *record.Line) []*record.Line {
	return decisions(job.Lines, claim, (*record.Line).Effect)
}

func decisions(lines []*record.Line, claim *record.Line, effect func(*record.Line) journal.Payload) (list []*record.Line) {
	for _, l := range lines {
		if d, ok := effect(l).(*journal.ClaimDecision); ok && d.Of == claim.ID {
			list = append(list, l)
		}
	}
	slices.SortStableFunc(list, Compare)
	return list
}

// jobLines are the entries about the job of a line as a whole.
func (s *Stock) jobLines(l *record.Line) []*record.Line {
	if j := s.shop.Job(l.Subject.Job()); j != nil {
		return j.Lines
	}
	return nil
}

func (s *Stock) coverage(claim *record.Line, answers []journal.ClaimAnswer) Coverage {
	said, ok := s.effect(claim).(*journal.Claim)
	if !ok {
		return Coverage{Claim: claim}
	}
	c := covering{Stock: s, Coverage: Coverage{Claim: claim, Answers: answers}, said: said}
	c.gather()
	switch w := c.Warranty; {
	case w == nil:
		c.state(Statement{Quantity: WarrantyPromised, Because: NoWarranty})
	default:
		c.state(Statement{Quantity: WarrantyPromised, Value: w.String()}, c.promised)
		if w.Months > 0 {
			c.time()
		}
		if !w.Distance.IsZero() {
			c.distance()
		}
		c.either()
	}
	c.excluded()
	return c.Coverage
}

// covering is a coverage in the making.
type covering struct {
	Coverage
	*Stock
	said     *journal.Claim
	promised *record.Line // that promised the warranty
	back     *record.Line // the handover, nil if the complaint came before it
	odometer unit.Distance
	read     *record.Line // where the odometer stands
}

// gather finds what held when the complaint came in: what was promised later
// was not promised then.
func (c *covering) gather() {
	job := c.shop.Job(c.Claim.Subject.Job())
	if job == nil {
		return
	}
	if job.Released != nil && Before(job.Released, c.Claim) {
		c.back = job.Released
	}
	for _, l := range job.Lines {
		if After(l, c.Claim) {
			continue
		}
		var odometer unit.Distance
		switch d := c.effect(l).(type) {
		case *journal.Job:
			odometer = d.Odometer
			c.promise(l, d.Warranty, d.Excludes)
		case *journal.Promise:
			c.promise(l, d.Warranty, d.Excludes)
		case *journal.Arrival:
			odometer = d.Odometer
		case *journal.Release:
			odometer = d.Odometer
		}
		if !odometer.IsZero() && c.back != nil && !After(l, c.back) {
			c.odometer, c.read = odometer, l
		}
	}
}

// promise takes in what was promised; what an entry leaves out stays.
func (c *covering) promise(l *record.Line, w *journal.Warranty, excludes []string) {
	if w != nil {
		c.Warranty, c.promised = w, l
	}
	if len(excludes) > 0 {
		c.Questions = excludes
	}
}

func (c *covering) state(s Statement, rests ...*record.Line) {
	s.About, s.in = c.Claim.Subject, c.Writing()
	if s.Sure == "" {
		s.Sure = Reckoned
	}
	c.Statements = append(c.Statements, s.on(c.Claim).on(rests...))
}

// time holds the day of the complaint against the last day of the warranty.
func (c *covering) time() {
	s := Statement{Quantity: WarrantyTime, Met: NotKnown, Limit: Limit{High: words.Count(c.Warranty.Months, "month")}, Source: byMonths}
	if c.back == nil {
		s.Because = NotHandedBack
		c.state(s)
		return
	}
	back, came := time.Time(c.back.Clocks.Device), time.Time(c.Claim.Clocks.Device)
	from, to, there := day(back), day(came), day(came.In(back.Location()))
	last := months(from, c.Warranty.Months)
	s.Value = since(from, to)
	s.With = []Figure{dated("back", from, c.Writing()), dated("complaint", to, c.Writing()), dated("last day", last, c.Writing())}
	switch {
	case to.Before(from):
		s.Because, s.Value = ClockBehind, ""
	case to.After(last) != there.After(last):
		s.Because = DaysDiffer
		s.With = append(s.With, dated("complaint there", there, c.Writing()), with("zone", came.Format("UTC-07:00")), with("zone there", back.Format("UTC-07:00")))
	default:
		s.Met = met(!to.After(last))
	}
	c.state(s, c.promised, c.back)
}

// distance holds the way since the handover against that of the warranty.
func (c *covering) distance() {
	limit, in := c.Warranty.Distance, c.Units().Distance
	s := Statement{Quantity: WarrantyDistance, Met: NotKnown, Limit: Limit{High: unit.Typed(limit, in, 1)}}
	switch {
	case c.back == nil:
		s.Because = NotHandedBack
	case c.odometer.IsZero():
		s.Because = NoOdometerBack
	case c.said.Odometer.IsZero():
		s.Because = NoOdometer
	}
	if !c.odometer.IsZero() {
		s.With = append(s.With, figured("back", unit.Typed(c.odometer, in, 0), c.Writing()))
		if c.read != c.back {
			s.With = append(s.With, dated("read on", day(time.Time(c.read.Clocks.Device)), c.Writing()))
		}
	}
	if !c.said.Odometer.IsZero() {
		s.With = append(s.With, figured("complaint", unit.Typed(c.said.Odometer, in, 0), c.Writing()))
	}
	if s.Because == "" {
		const exact = 1e-6 // of a conversion between units
		way := c.said.Odometer.In(limit.Unit()) - c.odometer.In(limit.Unit())
		if way < -exact {
			s.Because = OdometerFell
		} else {
			s = s.valued(unit.Short(max(0, way), limit.Unit(), unit.Like(limit, in), 1))
			s.Met = met(way <= limit.In(limit.Unit())+exact)
		}
	}
	c.state(s, c.promised, c.read)
}

// either says how time and distance stand together, where both end the
// warranty, whichever comes first.
func (c *covering) either() {
	over := map[Met][]string{}
	for _, s := range c.Statements {
		switch s.Quantity {
		case WarrantyTime:
			over[s.Met] = append(over[s.Met], "the time")
		case WarrantyDistance:
			over[s.Met] = append(over[s.Met], "the distance")
		}
	}
	if len(over[Yes])+len(over[No])+len(over[NotKnown]) < 2 {
		return
	}
	s := Statement{Quantity: WarrantyEnds, Met: Yes}
	for _, is := range []Met{NotKnown, No} { // one that is outside decides
		if names := over[is]; len(names) > 0 {
			s.Met, s.Of = is, words.And(names...)
		}
	}
	c.state(s, c.promised)
}

// excluded states each question of the warranty that nobody answered, or
// whose answer leaves the complaint outside.
func (c *covering) excluded() {
	questions := slices.Clone(c.Questions)
	for _, a := range c.Answers {
		if !slices.Contains(questions, a.Question) {
			questions = append(questions, a.Question)
		}
	}
	for _, q := range questions {
		s := Statement{Quantity: WarrantyExcludes, Of: q, Met: NotKnown, Sure: Written, Because: NotAnswered}
		if answer := c.Answer(q); answer != "" {
			s.Value, s.Because = string(answer), ""
		}
		if s.Value == string(journal.RepliedYes) {
			s.Met = No
		}
		if s.Value != string(journal.RepliedNo) {
			c.state(s)
		}
	}
}

// claim states how a complaint stands to the warranty.
func (w *entry) claim(claim *record.Line) {
	w.Statements = append(w.Statements, w.Coverage(claim).Statements...)
}

// settles states what a decision decides about, with its own answers.
func (w *entry) settles(d *journal.ClaimDecision) {
	for _, l := range w.jobLines(w.line) {
		if l.ID != d.Of || l.Kind != journal.ClaimOpened {
			continue
		}
		if w.effect(l) == nil {
			w.state(Statement{Quantity: ClaimSettled, Because: ClaimStruck, Of: l.Clocks.Device.Said(words.Writing{}), when: l.Clocks.Device.Said(w.Writing())}.on(l))
			return
		}
		w.Statements = append(w.Statements, w.coverage(l, d.Answers).Statements...)
		for _, other := range w.decisions(l) {
			if other != w.line && other.ID != w.line.ID {
				how := words.Choose(Before(other, w.line), "before", "later")
				w.state(Statement{Quantity: ClaimSettled, Of: other.Clocks.Device.Said(words.Writing{}), when: other.Clocks.Device.Said(w.Writing()), Value: string(w.effect(other).(*journal.ClaimDecision).Decision), With: []Figure{with("when", how)}}.on(other))
			}
		}
		return
	}
}

// day is the day of a time on the clock that showed it, as a time of no zone.
func day(at time.Time) time.Time {
	return time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, time.UTC)
}

// months returns the day so many calendar months after another: that of the
// same number or, in a month that is shorter, its last. So a month after 31
// January ends on 28 February, and on the 29th in a leap year.
func months(from time.Time, n int) time.Time {
	to := time.Date(from.Year(), from.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	end := to.AddDate(0, 1, -1).Day()
	return to.AddDate(0, 0, min(from.Day(), end)-1)
}

// since says how many whole calendar months lie between two days, and how many
// days more.
func since(from, to time.Time) string {
	n := 0
	for !months(from, n+1).After(to) {
		n++
	}
	days := int(to.Sub(months(from, n)) / (24 * time.Hour))
	return words.And(words.If(n > 0, words.Count(n, "month")), words.If(days > 0 || n == 0, words.Count(days, "day")))
}
