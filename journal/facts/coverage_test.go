package facts_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// said is an entry of a job, written when a clock showed a time.
type said struct {
	at   string // RFC 3339, with the zone of the clock
	data journal.Payload
}

// counter is a job whose entries are written at given times, one after another.
type counter struct {
	tb     testing.TB
	author *journaltest.Author
	now    time.Time
	book   *record.Book
	n      int64
}

const (
	office = journal.DeviceID("office")
	job    = journal.JobID("4f7kk2m9")
)

func newCounter(tb testing.TB) *counter {
	c := &counter{tb: tb, now: journaltest.Morning(), book: record.NewBook(journal.Authority{Hub: office})}
	c.author = journaltest.NewAuthor(office, journaltest.NewWatch(journaltest.Morning()), "counter")
	c.author.Now = func() time.Time { return c.now }
	c.author.Clock = journal.NewClock(c.author.Now, journaltest.Rand("counter"))
	return c
}

func (c *counter) write(e said) journal.EntryID {
	c.tb.Helper()
	at, err := time.Parse(time.RFC3339, e.at)
	if err != nil {
		c.tb.Fatal(err)
	}
	c.now, c.author.Started = at, at.Add(-time.Hour)
	about := journal.About(job, "", "")
	if e.data.Kind() == journal.UnitsChosen {
		about = journal.Of("shop", string(journaltest.Shop))
	}
	entry, err := c.author.Write(journal.Draft{Subject: about, By: "io", Data: e.data})
	if err != nil {
		c.tb.Fatal(err)
	}
	raw, err := entry.Encode()
	if err != nil {
		c.tb.Fatal(err)
	}
	c.book.Add(journal.Logged{Position: journal.Position{Device: office, Index: c.n}, Bytes: raw})
	c.n++
	return entry.ID
}

// of returns what an entry comes to, sentence by sentence.
func (c *counter) of(id journal.EntryID) (list []facts.Statement) {
	c.tb.Helper()
	shop := c.book.Shop()
	lines := shop.Line(id)
	if len(lines) != 1 {
		c.tb.Fatalf("%d lines have the id %s", len(lines), id)
	}
	return facts.StockOf(shop).Entry(lines[0]).Statements
}

func distance(text string) unit.Distance {
	if text == "" {
		return unit.Distance{}
	}
	q, err := unit.Parse[unit.Distance](text)
	if err != nil {
		panic(err)
	}
	return q
}

func opened(w *journal.Warranty, excludes ...string) said {
	return said{"2026-05-10T08:00:00+02:00", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Odometer: distance("84000 km"), Warranty: w, Excludes: excludes}}
}

func back(at, odometer string) said {
	return said{at, &journal.Release{Odometer: distance(odometer)}}
}

func complaint(at, odometer string) said {
	return said{at, &journal.Claim{Says: "a bubble in the paint", Odometer: distance(odometer)}}
}

// A complaint is held against the warranty by days and by distance. All
// figures are worked out by hand.
func TestCoverage(t *testing.T) {
	both := &journal.Warranty{Months: 24, Distance: distance("20000 km"), Words: "on the film"}
	only := func(months int) *journal.Warranty { return &journal.Warranty{Months: months} }
	miles := &journal.Warranty{Distance: distance("12000 mi")}
	units := said{"2026-05-11T08:00:00+02:00", &journal.Units{Units: unit.USCustomary()}}
	const handed = "2026-05-12T17:30:00+02:00"
	for _, trial := range []struct {
		what   string
		before []said
		claim  said
		time   facts.Met // inside, outside or not known; "" if it is not stated
		way    facts.Met
		ends   facts.Met
		says   []string
	}{
		// 12 May 2026 + 13 months = 12 June 2027; to 3 July 2027 are 18 days
		// of June (13th to 30th) and 3 of July. 86900 - 84266 = 2634.
		{"inside", []said{opened(both), back(handed, "84266 km")}, complaint("2027-07-03T10:00:00+02:00", "86900 km"), facts.Yes, facts.Yes, facts.Yes, []string{
			"promised: 24 months or 20000 km; on the film; whether that covers what the complaint is about, a person decides",
			"handed back on 12 May 2026, complaint on 3 July 2027: 13 months and 21 days of 24 months; the last day is 12 May 2028: inside",
			"odometer 84266 km at handover, 86900 km at the complaint: 2634 km of 20000 km: inside",
			"time or distance, whichever ends first: inside both"}},
		// The minute before midnight of 12 May 2028 is still inside; 104266 - 84266 = 20000, all of it.
		{"the last day, and the last kilometre", []said{opened(both), back(handed, "84266 km")}, complaint("2028-05-12T23:59:00+02:00", "104266 km"), facts.Yes, facts.Yes, facts.Yes, []string{
			": 24 months of 24 months; the last day is 12 May 2028: inside", ": 20000 km of 20000 km: inside"}},
		{"one day after", []said{opened(both), back(handed, "84266 km")}, complaint("2028-05-13T00:00:00+02:00", "90000 km"), facts.No, facts.Yes, facts.No, []string{
			": 24 months and 1 day of 24 months; the last day is 12 May 2028: outside", "whichever ends first: outside, since the time had ended"}},
		{"one kilometre over", []said{opened(both), back(handed, "84266 km")}, complaint("2027-05-12T10:00:00+02:00", "104267 km"), facts.Yes, facts.No, facts.No, []string{
			": 12 months of 24 months;", ": 20001 km of 20000 km: outside", "outside, since the distance had ended"}},
		{"both over", []said{opened(both), back(handed, "84266 km")}, complaint("2029-05-12T10:00:00+02:00", "204266 km"), facts.No, facts.No, facts.No, []string{"since the time and the distance had ended"}},
		{"no odometer at the complaint", []said{opened(both), back(handed, "84266 km")}, complaint("2027-07-03T10:00:00+02:00", ""), facts.Yes, facts.NotKnown, facts.NotKnown, []string{
			"odometer 84266 km at handover, and none is on record of the complaint, so how much of 20000 km was driven is not known", "not known, since it is not known whether the distance had ended"}},
		// Outside by time is outside, whatever was driven.
		{"no odometer, and the time is over", []said{opened(both), back(handed, "84266 km")}, complaint("2028-07-03T10:00:00+02:00", ""), facts.No, facts.NotKnown, facts.No, []string{"outside, since the time had ended"}},
		// The reading of the counter stands for the one that the handover lacks. 104000 - 84000 = 20000.
		{"no odometer at handover", []said{opened(both), back(handed, "")}, complaint("2027-07-03T10:00:00+02:00", "104000 km"), facts.Yes, facts.Yes, facts.Yes, []string{
			"odometer 84000 km on 10 May 2026, when it was last read before the handover, 104000 km at the complaint: 20000 km of 20000 km: inside"}},
		{"an odometer that fell", []said{opened(both), back(handed, "84266 km")}, complaint("2027-07-03T10:00:00+02:00", "84265 km"), facts.Yes, facts.NotKnown, facts.NotKnown, []string{
			"odometer 84265 km at the complaint, less than 84266 km at handover: one of the two was misread or the odometer was changed"}},
		// 52360.5 to 64360.5 miles are 12000 miles, or 19312.128 km.
		{"miles", []said{opened(miles), back(handed, "52360.5 mi")}, complaint("2030-01-01T10:00:00+01:00", "64360.5 mi"), "", facts.Yes, "", []string{
			"odometer 52360.5 mi (84266 km) at handover, 64360.5 mi (103578 km) at the complaint: 19312.1 km of 12000 mi (19312.1 km): inside"}},
		{"miles, a tenth over", []said{opened(miles), back(handed, "52360.5 mi")}, complaint("2030-01-01T10:00:00+01:00", "64360.6 mi"), "", facts.No, "", []string{": 19312.3 km of 12000 mi (19312.1 km): outside"}},
		// The same in a shop that works in miles.
		{"a shop in miles", []said{opened(miles), units, back(handed, "52360.5 mi")}, complaint("2030-01-01T10:00:00+01:00", "64360.6 mi"), "", facts.No, "", []string{"odometer 52360.5 mi at handover, 64360.6 mi at the complaint: 12000.1 mi of 12000 mi: outside"}},
		// 20000 km are 12427.4 miles.
		{"promised in kilometres, in a shop in miles", []said{opened(&journal.Warranty{Distance: distance("20000 km")}), units, back(handed, "10000 mi")}, complaint("2030-01-01T10:00:00+01:00", "22427 mi"), "", facts.Yes, "", []string{"12427 mi of 20000 km (12427.4 mi): inside"}},
		// 10000 mi = 16093.44 km; 26094 - 10000 = 16094 km.
		{"promised in miles, read in kilometres", []said{opened(&journal.Warranty{Distance: distance("10000 mi")}), back(handed, "10000 km")}, complaint("2026-06-01T10:00:00+02:00", "26094 km"), "", facts.No, "", []string{"odometer 10000 km at handover, 26094 km at the complaint: 16094 km of 10000 mi (16093.4 km): outside"}},
		{"no warranty", []said{opened(nil), back(handed, "84266 km")}, complaint("2027-07-03T10:00:00+02:00", "86900 km"), "", "", "", []string{"no warranty had been promised when the complaint came in"}},
		{"words alone", []said{opened(&journal.Warranty{Words: "as long as the car is ours"}), back(handed, "")}, complaint("2027-07-03T10:00:00+02:00", ""), "", "", "", []string{"promised: as long as the car is ours; whether"}},
		// The second promise counts: 12 May 2026 + 36 months is 12 May 2029.
		{"two promises", []said{opened(both), {"2026-05-11T08:00:00+02:00", &journal.Promise{Warranty: only(36)}}, back(handed, "84266 km")}, complaint("2028-05-13T10:00:00+02:00", "204266 km"), facts.Yes, "", "", []string{": 24 months and 1 day of 36 months; the last day is 12 May 2029: inside"}},
		{"a complaint before the handover", []said{opened(both)}, complaint("2026-05-11T10:00:00+02:00", "84001 km"), facts.NotKnown, facts.NotKnown, facts.NotKnown, []string{
			"the vehicle had not been handed back when the complaint came in, so the 24 months of the warranty had not begun: not known", "so the 20000 km of the warranty had not begun"}},
		{"a clock that was set back", []said{opened(both), back(handed, "84266 km")}, complaint("2026-05-11T10:00:00+02:00", "84300 km"), facts.NotKnown, facts.Yes, facts.NotKnown, []string{
			"its clock showed 11 May 2026, before 12 May 2026, the day of the handover: not known"}},
		// 22:30 UTC on 12 May 2028 is 00:30 on 13 May at +02:00.
		{"another zone, at the end of the last day", []said{opened(only(24)), back(handed, "")}, complaint("2028-05-12T22:30:00Z", ""), facts.NotKnown, "", "", []string{
			"complaint on 12 May 2028: 24 months of 24 months; the last day is 12 May 2028: not known, since that day is by a clock set to UTC+00:00, and by the clock of the handover (UTC+02:00) it was 13 May 2028"}},
		{"another zone, on another day", []said{opened(only(24)), back(handed, "")}, complaint("2028-05-11T22:30:00Z", ""), facts.Yes, "", "", []string{": 23 months and 29 days of 24 months; the last day is 12 May 2028: inside"}},
		// A month after 31 January ends with February, in a leap year a day later.
		{"a short month", []said{opened(only(1)), back("2027-01-31T17:30:00+01:00", "")}, complaint("2027-02-28T17:30:00+01:00", ""), facts.Yes, "", "", []string{": 1 month of 1 month; the last day is 28 February 2027: inside"}},
		{"after a short month", []said{opened(only(1)), back("2027-01-31T17:30:00+01:00", "")}, complaint("2027-03-01T08:00:00+01:00", ""), facts.No, "", "", []string{": 1 month and 1 day of 1 month; the last day is 28 February 2027: outside"}},
		{"a leap year", []said{opened(only(1)), back("2028-01-31T17:30:00+01:00", "")}, complaint("2028-02-29T17:30:00+01:00", ""), facts.Yes, "", "", []string{"the last day is 29 February 2028: inside"}},
		// From a leap day, twelve months later: 2029 has no 29 February.
		{"from a leap day", []said{opened(only(12)), back("2028-02-29T17:30:00+01:00", "")}, complaint("2029-03-01T17:30:00+01:00", ""), facts.No, "", "", []string{": 12 months and 1 day of 12 months; the last day is 28 February 2029: outside"}},
		{"the same day", []said{opened(only(12)), back(handed, "")}, complaint("2026-05-12T18:00:00+02:00", ""), facts.Yes, "", "", []string{": 0 days of 12 months;"}},
	} {
		t.Run(trial.what, func(t *testing.T) {
			c := newCounter(t)
			for _, e := range trial.before {
				c.write(e)
			}
			list := c.of(c.write(trial.claim))
			is := make(map[facts.Quantity]facts.Met)
			var says []string
			for _, s := range list {
				is[s.Quantity] = s.Met
				says = append(says, s.Say())
			}
			if is[facts.WarrantyTime] != trial.time || is[facts.WarrantyDistance] != trial.way || is[facts.WarrantyEnds] != trial.ends {
				t.Errorf("time %q, distance %q, both %q; want %q, %q, %q", is[facts.WarrantyTime], is[facts.WarrantyDistance], is[facts.WarrantyEnds], trial.time, trial.way, trial.ends)
			}
			for _, want := range trial.says {
				if !slices.ContainsFunc(says, func(s string) bool { return strings.Contains(s, want) }) {
					t.Errorf("nothing says %q:\n%s", want, strings.Join(says, "\n"))
				}
			}
			if all := strings.Join(says, "\n"); strings.Contains(all, "covered") {
				t.Errorf("what a person decides is decided:\n%s", all)
			}
		})
	}
}

// What was promised after the complaint was not promised when it came in.
func TestCoverageOfALaterPromise(t *testing.T) {
	c := newCounter(t)
	c.write(opened(&journal.Warranty{Months: 12}))
	c.write(back("2026-05-12T17:30:00+02:00", ""))
	claim := c.write(complaint("2027-06-12T10:00:00+02:00", ""))
	c.write(said{"2027-06-13T10:00:00+02:00", &journal.Promise{Warranty: &journal.Warranty{Months: 24}, Excludes: []string{"Was it washed?"}}})
	if got := words(c.of(claim)); !strings.Contains(got, "13 months of 12 months; the last day is 12 May 2027: outside") || strings.Contains(got, "washed") {
		t.Errorf("got %s", got)
	}
}

// Questions are stated until they are answered no; those of the decision that
// counts last stand at the complaint, its own at each decision.
func TestCoverageQuestions(t *testing.T) {
	const track, acid = "Was it driven on a track?", "Was a wheel cleaner with acid used?"
	c := newCounter(t)
	c.write(opened(&journal.Warranty{Months: 12}, track, acid))
	c.write(back("2026-05-12T17:30:00+02:00", ""))
	claim := c.write(complaint("2026-06-12T10:00:00+02:00", ""))
	decided := func(at string, track, acid journal.ClaimReply) said {
		return said{at, &journal.ClaimDecision{Of: claim, Decision: "shared", Reason: "it may be either", Answers: []journal.ClaimAnswer{{Question: "Was it driven on a track?", Answer: track}, {Question: "Was a wheel cleaner with acid used?", Answer: acid}}}}
	}
	questions := func(id journal.EntryID) map[string]facts.Met {
		is := make(map[string]facts.Met)
		for _, s := range c.of(id) {
			if s.Quantity == facts.WarrantyExcludes {
				is[s.Of+" "+s.Value] = s.Met
			}
		}
		return is
	}
	same := func(what string, got map[string]facts.Met, want ...string) {
		t.Helper()
		for _, w := range want {
			if _, ok := got[w]; !ok || len(got) != len(want) {
				t.Errorf("%s: got %v, want %q", what, got, want)
			}
		}
		if len(want) == 0 && len(got) > 0 {
			t.Errorf("%s: got %v", what, got)
		}
	}
	same("nobody answered", questions(claim), track+" ", acid+" ")
	first := c.write(decided("2026-06-13T10:00:00+02:00", "yes", "not known"))
	same("answered", questions(first), track+" yes", acid+" not known")
	same("the complaint once it is answered", questions(claim), track+" yes", acid+" not known")
	if got := questions(claim)[track+" yes"]; got != facts.No {
		t.Errorf("a yes is %q", got)
	}
	second := c.write(decided("2026-06-14T10:00:00+02:00", "no", "no"))
	same("the complaint once it is decided anew", questions(claim))
	same("the first decision", questions(first), track+" yes", acid+" not known")
	if got := words(c.of(second)); !strings.Contains(got, "decided before as well, on 13 June 2026 10:00 UTC+02:00: shared; the last decision holds") {
		t.Errorf("the second decision: %s", got)
	}
	if got := words(c.of(first)); !strings.Contains(got, "decided later as well, on 14 June 2026 10:00 UTC+02:00") {
		t.Errorf("the first decision: %s", got)
	}
	c.write(said{"2026-06-15T10:00:00+02:00", &journal.Correction{Of: second, Reason: "of another car"}})
	same("the second decision is struck", questions(claim), track+" yes", acid+" not known")
	c.write(said{"2026-06-16T10:00:00+02:00", &journal.Correction{Of: claim, Reason: "of another car"}})
	if got := words(c.of(claim)); got != "" {
		t.Errorf("a struck complaint comes to %s", got)
	}
	if got := words(c.of(first)); got != "the complaint of 12 June 2026 10:00 UTC+02:00, which this decides, was struck out" {
		t.Errorf("the decision about a struck complaint: %s", got)
	}
}

func words(list []facts.Statement) string {
	var says []string
	for _, s := range list {
		says = append(says, s.Say())
	}
	return strings.Join(says, "\n")
}
