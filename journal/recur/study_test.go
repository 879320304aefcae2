package recur_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

// coats makes rows of a table, a part each.
type coats struct {
	rows []parts.Row
	n    int
}

const letters = "23456789abcdefghjkmnpqrstuvwxyz"

// add adds coats of which the first so many have a pinhole; each column is
// given as "name=value".
func (c *coats) add(all, bad int, columns ...string) {
	for i := range all {
		c.n++
		job := journal.JobID(fmt.Sprintf("2222%c%c%c%c", letters[c.n/29791%31], letters[c.n/961%31], letters[c.n/31%31], letters[c.n%31]))
		r := parts.NewRow(journal.About(job, journal.LeftFront, "caliper"), 1)
		r.Put(parts.What, parts.Text("caliper"))
		r.Put(parts.Metal, parts.Text("iron"))
		r.Put(parts.Looked, parts.Yes(true))
		for _, look := range journal.Look("").Words() {
			r.Put(parts.Defect(look), parts.Yes(look == "pinhole" && i < bad))
		}
		for _, column := range columns {
			name, value, _ := strings.Cut(column, "=")
			put(r, parts.Name(name), value)
		}
		c.rows = append(c.rows, r)
	}
}

func put(r parts.Row, name parts.Name, value string) {
	for _, c := range parts.Columns() {
		if c.Name != name {
			continue
		}
		switch c.Kind {
		case parts.Number:
			var v float64
			fmt.Sscan(value, &v)
			r.Put(name, parts.Num(v))
		case parts.Day:
			day, err := time.Parse(time.DateOnly, value)
			if err != nil {
				panic(err)
			}
			r.Put(name, parts.On(day))
		case parts.YesNo:
			r.Put(name, parts.Yes(value == "yes"))
		default:
			r.Put(name, parts.Text(value))
		}
	}
}

func (c *coats) study(t *testing.T, q recur.Question) *recur.Study {
	t.Helper()
	if q.Defect == "" {
		q.Defect = "pinhole"
	}
	s, err := recur.Of(parts.New(c.rows...), q)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func accused(s *recur.Study) string {
	var said []string
	for _, a := range s.Accused {
		text := string(a.Name) + " " + a.Split
		for _, o := range a.Together {
			text += " or " + string(o)
		}
		said = append(said, text)
	}
	return strings.Join(said, "; ")
}

func TestWhoGetsTheHarderPartsIsNotAccused(t *testing.T) {
	var c coats
	c.add(80, 24, "pattern=K17", "person=mo") // iron calipers of one pattern
	c.add(20, 6, "pattern=K17", "person=io")
	c.add(20, 0, "pattern=K31", "person=mo")
	c.add(180, 4, "pattern=K31", "person=io")
	s := c.study(t, recur.Question{})
	if got := accused(s); got != "pattern K17" {
		t.Errorf("accused: %s", got)
	}
	for _, f := range s.Factors {
		if f.Name == parts.Person && (f.Because != recur.GoesAlong || f.Of != parts.Pattern) {
			t.Errorf("person: %+v", f)
		}
	}
}

func TestWithinTheSameMetal(t *testing.T) {
	var c coats
	c.add(60, 18, "metal=iron", "degreaser=alkaline bath")
	c.add(20, 6, "metal=iron", "degreaser=neutral cleaner")
	c.add(20, 0, "metal=aluminium", "degreaser=alkaline bath")
	c.add(60, 0, "metal=aluminium", "degreaser=neutral cleaner")
	if got := accused(c.study(t, recur.Question{})); got != "metal iron" {
		t.Errorf("accused: %s", got)
	}
}

func TestWhatCannotBeToldApart(t *testing.T) {
	var c coats
	c.add(30, 12, "powder_lot=L7", "degreaser=neutral cleaner")
	c.add(170, 3, "powder_lot=L6", "degreaser=alkaline bath")
	s := c.study(t, recur.Question{})
	if len(s.Accused) != 1 || len(s.Accused[0].Together) != 1 || s.Accused[0].Trial == nil {
		t.Fatalf("accused: %s", accused(s))
	}
	said := strings.Join(s.Say(words.Writing{}), "\n")
	for _, want := range []string{"these records cannot tell which of them it is", "to tell, coat 17 parts with", "12 of 30 (40 %)"} {
		if !strings.Contains(said, want) {
			t.Errorf("not said: %s\n%s", want, said)
		}
	}
}

// A number is cut where the data show, and the tries count.
func TestANumberIsCut(t *testing.T) {
	var c coats
	for soak := 10; soak < 60; soak++ {
		bad := 0
		if soak < 25 {
			bad = 2
		}
		c.add(6, bad, fmt.Sprintf("soak_minutes=%d", soak))
	}
	s := c.study(t, recur.Question{})
	if got := accused(s); got != "soak_minutes up to 24 min" {
		t.Errorf("accused: %s", got)
	}
	f := s.Factors[0]
	if f.Tries < 40 || f.Pair.First.Parts != 90 || f.Pair.First.Defects != 30 {
		t.Errorf("%+v", f)
	}
}

// Of a word with two values the one with more defects is named, whichever comes
// up first.
func TestOfTwoTheWorseIsNamed(t *testing.T) {
	var c coats
	c.add(100, 2, "degreaser=alkaline bath")
	c.add(40, 14, "degreaser=neutral cleaner")
	s := c.study(t, recur.Question{})
	if got := accused(s); got != "degreaser neutral cleaner" {
		t.Errorf("accused: %s", got)
	}
	f := s.Of(parts.Degreaser)
	if f.Pair.First.Parts != 40 || f.Pair.First.Defects != 14 || !f.There(1) || f.There(0) || f.Pooled.OddsRatio.Value < 1 {
		t.Errorf("%+v", f)
	}
	said := strings.Join(s.Say(words.Writing{}), "\n")
	for _, want := range []string{"It goes with degreaser neutral cleaner: 14 of 40 (35 %) against 2 of 100 (2 %) of the others, 19 to 49 percentage points more; with kind of part and metal held equal the odds of it are "} {
		if !strings.Contains(said, want) {
			t.Errorf("not said: %s\n%s", want, said)
		}
	}
}

// One value of many may have fewer: that is said so.
func TestAValueMaySpare(t *testing.T) {
	var c coats
	for i := range 8 {
		c.add(40, 14, fmt.Sprintf("colour=grey %d", i))
	}
	c.add(80, 0, "colour=black")
	s := c.study(t, recur.Question{})
	said := strings.Join(s.Say(words.Writing{}), "\n")
	if !strings.Contains(said, "It is rarer with colour black: 0 of 80 (0 %)") || !strings.Contains(said, "percentage points fewer") {
		t.Errorf("%s\n%s", accused(s), said)
	}
}

// What is accused once something else is held equal is told by its own figures
// then, not by those that it had by itself.
func TestTheSecondFind(t *testing.T) {
	var c coats
	for lot := range 4 {
		for soak := range 10 {
			bad := 0
			if lot == 1 {
				bad += 8
			}
			if soak < 3 {
				bad += 3
			}
			c.add(12, bad, fmt.Sprintf("powder_lot=L%d", lot), fmt.Sprintf("soak_minutes=%d", 10+5*soak))
		}
	}
	s := c.study(t, recur.Question{})
	if got := accused(s); got != "powder_lot L1; soak_minutes up to 20 min" {
		t.Fatalf("accused: %s", got)
	}
	second := s.Accused[1]
	if fmt.Sprint(second.Held) != "[what metal powder_lot]" || second.P > second.Adjusted || second.Adjusted > 0.05 || second.Odds == nil || second.Odds.Low <= 1 {
		t.Errorf("%+v", second)
	}
	if said := strings.Join(s.SayAccused(second, words.Writing{}), "\n"); !strings.Contains(said, "with kind of part, metal and powder lot held equal the odds of it are") {
		t.Error(said)
	}
}

// A day cannot be had again: the trial is of what can. Where none of the others
// had the defect there is one all the same.
func TestATrialOfWhatIsPast(t *testing.T) {
	var c coats
	for day := 1; day <= 12; day++ {
		lot, bad := "L6", 0
		if day == 7 {
			lot, bad = "L7", 9
		}
		c.add(12, bad, fmt.Sprintf("day=2026-03-%02d", day), "powder_lot="+lot)
	}
	s := c.study(t, recur.Question{})
	if len(s.Accused) != 1 || s.Accused[0].Trial == nil || fmt.Sprint(s.Accused[0].Trial.Of) != "[powder_lot]" {
		t.Fatalf("%s: %+v", accused(s), s.Accused)
	}
	if said := strings.Join(s.Say(words.Writing{}), "\n"); !strings.Contains(said, "to tell, coat 6 parts with powder lot L7 on another day, and 6 parts without it") {
		t.Error(said)
	}
}

// How many more parts it would take counts the whole search: with so many more
// of the same it does stand out.
func TestHowManyMore(t *testing.T) {
	mill := func(times int) *recur.Study {
		var c coats
		for lot := range 12 {
			bad := 0
			if lot == 4 {
				bad = 2 * times
			}
			c.add(8*times, bad, fmt.Sprintf("powder_lot=L%d", lot), fmt.Sprintf("hook=%d", lot%5), fmt.Sprintf("corner=%s", []string{"LF", "RF"}[lot%2]))
		}
		return c.study(t, recur.Question{})
	}
	f := mill(1).Of(parts.PowderLot)
	if f.Stands || f.More < 8 || f.More > 24 || f.MoreOther != 0 {
		t.Fatalf("%+v", f)
	}
	if enough := 1 + (f.More+7)/8; !mill(enough).Of(parts.PowderLot).Stands {
		t.Errorf("%d more, and it does not stand out", f.More)
	}
	s := mill(1)
	if s.Tested != 3 {
		t.Errorf("%d factors were tried", s.Tested)
	}
	if metal := s.Of(parts.Metal); metal.Split != "" || metal.Known != 96 || !strings.Contains(strings.Join(metal.Say("pinhole", words.Writing{}), " "), "are alike in it") {
		t.Errorf("all are of one metal: %+v", metal)
	}
}

func TestTooFewToTell(t *testing.T) {
	var c coats
	c.add(6, 1, "powder_lot=L7")
	c.add(8, 0, "powder_lot=L6")
	s := c.study(t, recur.Question{})
	if len(s.Accused) > 0 {
		t.Errorf("accused: %s", accused(s))
	}
	said := strings.Join(s.Say(words.Writing{}), "\n")
	if !strings.Contains(said, "none stands out") || !strings.Contains(said, "it would take") {
		t.Error(said)
	}
}

func TestWhatWasNotLookedAtCountsNowhere(t *testing.T) {
	var c coats
	c.add(10, 2)
	c.add(50, 0, "looked=no")
	s := c.study(t, recur.Question{})
	if s.Parts != 60 || s.Looked != 10 || s.Rates[0].Rate.Sample.Parts != 10 {
		t.Errorf("%d parts, %d looked at, %+v", s.Parts, s.Looked, s.Rates)
	}
}

func TestNothingIsThere(t *testing.T) {
	var c coats
	if said := c.study(t, recur.Question{}).Say(words.Writing{}); len(said) != 1 || said[0] != "No coat of a part is on record." {
		t.Errorf("%q", said)
	}
	c.add(3, 0, "looked=no")
	if said := c.study(t, recur.Question{}).Say(words.Writing{}); len(said) != 1 || !strings.Contains(said[0], "none was looked at") {
		t.Errorf("%q", said)
	}
	c.add(2, 0)
	s, err := recur.Of(parts.New(c.rows...), recur.Question{}) // of which defect nobody says
	if err != nil || s.Looked != 2 || s.Defect != "" || strings.Join(s.Say(words.Writing{}), " ") != "Of 2 coats that were looked at none had a defect." {
		t.Errorf("%+v, %v", s, err)
	}
	if _, err := recur.Of(parts.New(), recur.Question{Defect: "pinhol"}); err == nil || !strings.Contains(err.Error(), "a defect is one of: pinhole, crater") {
		t.Error(err)
	}
}

// People are told apart by letters, but not named, unless somebody asks.
func TestPeopleAreNotNamed(t *testing.T) {
	var c coats
	c.add(40, 16, "person=QZ")
	c.add(160, 2, "person=VX")
	for _, people := range []bool{false, true} {
		s := c.study(t, recur.Question{People: people})
		if got := strings.Contains(fmt.Sprint(s, s.Say(words.Writing{})), "QZ"); got != people {
			t.Errorf("asked for people: %v, named: %v", people, got)
		}
	}
}

func TestTheSameCastingAgain(t *testing.T) {
	var c coats
	c.add(1, 1, "casting=F1", "day=2026-01-05", "defect_entry=one")
	c.add(1, 1, "casting=F1", "day=2026-02-05", "defect_entry=two")
	c.add(1, 0, "casting=F2", "day=2026-01-05")
	c.add(1, 0, "casting=F2", "day=2026-02-05")
	c.add(20, 1, "day=2026-01-05")
	s := c.study(t, recur.Question{})
	if len(s.Named) != 1 || s.Named[0].Pattern != recur.CastingAgain || s.Named[0].Where != "F1" || strings.Join(s.Named[0].Defects, " ") != "one two" {
		t.Fatalf("%+v", s.Named)
	}
}

func TestOneFaceOfOneRack(t *testing.T) {
	var c coats
	for bake := range 20 {
		for rack := 1; rack < 3; rack++ {
			bad := 0
			if bake == 11 && rack == 2 {
				bad = 5
			}
			c.add(6, bad, fmt.Sprintf("bake=b%d", bake), fmt.Sprintf("rack=%d", rack), "face=outer face", fmt.Sprintf("day=2026-01-%02d", bake+1))
		}
	}
	s := c.study(t, recur.Question{})
	var patterns []string
	for _, n := range s.Named {
		patterns = append(patterns, string(n.Pattern))
	}
	if got := strings.Join(patterns, ", "); !strings.Contains(got, string(recur.OneFace)) {
		t.Errorf("patterns: %s; accused: %s", got, accused(s))
	}
}

func TestAfterAChangeOfMedia(t *testing.T) {
	var c coats
	for hours := range 40 {
		bad := 0
		if hours < 6 {
			bad = 3
		}
		c.add(6, bad, fmt.Sprintf("media_hours=%d", 10*hours))
	}
	s := c.study(t, recur.Question{})
	if len(s.Named) != 1 || s.Named[0].Pattern != recur.AfterChange || s.Named[0].Where != "up to 50 h" {
		t.Errorf("%+v", s.Named)
	}
}

// Of old media nobody says that they were changed lately, nor of what only goes
// along with something else.
func TestWhatIsNoPattern(t *testing.T) {
	var c coats
	for hours := range 40 {
		bad := 3
		if hours > 34 {
			bad = 0
		}
		c.add(60, 10*bad, fmt.Sprintf("media_hours=%d", 10*hours))
	}
	s := c.study(t, recur.Question{})
	if got := accused(s); got != "media_hours up to 340 h" || len(s.Named) > 0 {
		t.Errorf("accused: %s; %+v", got, s.Named)
	}
	c = coats{}
	for day := range 20 {
		for _, pattern := range []string{"K17", "K31"} {
			all, bad := 12, 0
			if day == 3 && pattern == "K17" { // most of the pattern came on one day
				all = 200
			}
			if pattern == "K17" {
				bad = all / 2
			}
			c.add(all, bad, "pattern="+pattern, fmt.Sprintf("day=2026-01-%02d", day+1))
		}
	}
	s = c.study(t, recur.Question{})
	if f := s.Of(recur.SameDay); accused(s) != "pattern K17" || f.Because != recur.GoesAlong || len(s.Named) > 0 {
		t.Errorf("accused: %s; the day: %+v; %+v", accused(s), f, s.Named)
	}
}

// Of parts whose customer nobody reached nothing is known.
func TestSilenceIsNotSuccess(t *testing.T) {
	var c coats
	c.add(100, 0, "handed_back=2026-01-05") // silence
	c.add(1, 1, "handed_back=2026-01-05", "days_to_defect=30")
	c.add(3, 0, "handed_back=2026-01-05", "days_followed=90")
	c.add(1, 1) // it went out with it
	s := c.study(t, recur.Question{})
	if s.Late.HandedBack != 104 || s.Late.Heard != 4 || s.Late.Rate.Sample.Defects != 1 || s.Late.Good.At(60).Good != 0.75 {
		t.Errorf("%+v", s.Late)
	}
	if said := strings.Join(s.SayRate(words.Writing{}), ". "); !strings.Contains(said, "1 of these showed after handover, and 100 coats of which nothing was heard since count as without it here") {
		t.Error(said)
	}
}

// What was there at the inspection did not come late because something else did.
func TestLateIsThisDefect(t *testing.T) {
	var c coats
	c.add(1, 1, "handed_back=2026-01-05", "seen=after bake", "days_to_defect=30") // and again
	c.add(1, 1, "handed_back=2026-01-05", "seen=after bake", "days_to_defect=30", "defect_orange_peel=yes")
	c.add(1, 1, "handed_back=2026-01-05", "seen=after handover", "days_to_defect=30")
	c.add(5, 0, "handed_back=2026-01-05", "days_followed=90")
	if l := c.study(t, recur.Question{}).Late; l.HandedBack != 7 || l.Heard != 7 || l.Found() != 2 {
		t.Errorf("%+v", l)
	}
}

func TestAChangeOfCard(t *testing.T) {
	var c coats
	c.add(40, 12, "card=caliper 3", "day=2026-01-05")
	c.add(40, 1, "card=caliper 4", "day=2026-03-05")
	s := c.study(t, recur.Question{})
	if len(s.Course.Changes) != 1 {
		t.Fatalf("%+v", s.Course)
	}
	ch := s.Course.Changes[0]
	if ch.Card != "caliper 4" || ch.Day != "2026-03-05" || ch.Before.Defects != 12 || ch.After.Defects != 1 || ch.Effect.Size.High >= 0 {
		t.Errorf("%+v", ch)
	}
	if months := len(s.Course.Periods); months != 3 {
		t.Errorf("%d months", months)
	}
	said := s.Explained(func(card string) *recur.Reason {
		return map[string]*recur.Reason{"caliper 4": {Says: "pinholes again"}}[card]
	})
	const says = `route card caliper 4 came in on 5 March 2026, out of the investigation of “pinholes again”: 12 of 40`
	if !slices.ContainsFunc(said.Course.Say(words.Writing{}), func(text string) bool { return strings.HasPrefix(text, says) }) || s.Course.Changes[0].Because != nil {
		t.Errorf("%q; the study itself: %+v", said.Course.Say(words.Writing{}), s.Course.Changes)
	}
}
