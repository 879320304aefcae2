package route_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"
)

// A wrench whose check has no date and holds for eight uses fits two wheels of
// five nuts 400 days later: the hold, the state at each use and the state on
// the shelf rest on one count and one day.
func TestToolHasOneState(t *testing.T) {
	s := complete(t)
	edit(s, "check tw-3", func(c *journal.ToolCheck) { c.Due, c.Cycles = "", 8 })
	for _, wheel := range []string{"LF snug", "RF snug"} {
		s.drop(wheel)
	}
	s.steps[s.index("LF full")].after = 400 * 24 * time.Hour
	w := s.write()
	_, shop := fold(w.log)
	stock := facts.StockOf(shop)

	first := stock.ToolAt("tw-3", shop.Line(w.ids["LF full"])[0])
	if first.Uses != 5 || first.Spent() || first.Doubt != facts.RanOut || !strings.Contains(first.Say(), "ran out on 2 March 2027") {
		t.Errorf("at the first wheel: %+v: %s", first, first.Say())
	}
	second := stock.ToolAt("tw-3", shop.Line(w.ids["RF full"])[0])
	if second.Uses != 10 || !second.Spent() || second.Doubt != facts.RanOut {
		t.Errorf("at the second wheel: %+v: %s", second, second.Say())
	}
	now := stock.ToolNow("tw-3", journaltest.Morning().AddDate(0, 0, 401))
	if now.Uses != 10 || !now.Spent() || now.Doubt != facts.RanOut || now.Validity.Due.Format(time.DateOnly) != "2027-03-02" {
		t.Errorf("on the shelf: %+v: %s", now, now.Say())
	}
	hold := stands(checked(ruled(t, card.OnCorner, "corner.wheel.tool_good"), w.log), "hold", at("RF", ""))
	if !strings.Contains(hold.Why, second.Say()) {
		t.Errorf("the hold says %s", hold.Why)
	}
}

// The check that comes with a tool says how long it holds; the usual interval
// is that of torque tools and of no other.
func TestToolNow(t *testing.T) {
	gauge := func(s *story) {
		s.add(plain("gauge", office, "tool/fg-1", "io", journal.Tool{Tool: "fg-1", What: journal.FilmGauge}))
	}
	check := func(c journal.ToolCheck) func(*story) {
		return func(s *story) {
			gauge(s)
			c.Tool = "fg-1"
			s.add(plain("gauge check", office, "tool/fg-1", "io", c))
		}
	}
	for _, trial := range []struct {
		what  string
		does  func(*story)
		doubt facts.ToolDoubt
		due   string
	}{
		{"not registered", func(*story) {}, facts.NotRegistered, ""},
		{"never checked", gauge, facts.NeverChecked, ""},
		{"without a date", check(journal.ToolCheck{Result: journal.InTolerance}), facts.NoDoubt, ""},
		{"its last day", check(journal.ToolCheck{Result: journal.InTolerance, Due: "2030-03-02"}), facts.NoDoubt, "2030-03-02"},
		{"past its day", check(journal.ToolCheck{Result: journal.InTolerance, Due: "2030-03-01"}), facts.RanOut, "2030-03-01"},
		{"found out of tolerance", check(journal.ToolCheck{Result: journal.OutOfTolerance, Due: "2040-03-01"}), facts.FoundBad, ""},
		{"adjusted, so good from then on", check(journal.ToolCheck{Result: journal.AdjustedWasOut, Due: "2040-03-01"}), facts.NoDoubt, "2040-03-01"},
		{"its uses spent", func(s *story) {
			check(journal.ToolCheck{Result: journal.InTolerance, Cycles: 1})(s)
			s.add(plain("read", bench1, at("LF", "caliper"), "mk", journal.FilmReadings{Gauge: "fg-1", Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Spots: spots("80 µm")}))
		}, facts.RanOut, ""},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			_, shop := fold(s.write().log)
			now := facts.StockOf(shop).ToolNow("fg-1", time.Date(2030, 3, 2, 12, 0, 0, 0, time.UTC))
			due := ""
			if !now.Validity.Due.IsZero() {
				due = now.Validity.Due.Format(time.DateOnly)
			}
			if now.Doubt != trial.doubt || due != trial.due || (now.Say() == "") != (trial.doubt == facts.NoDoubt) {
				t.Errorf("got %q, due %q: %s", now.Doubt, due, now.Say())
			}
		})
	}
}

// The day on which a container was opened is the one that was written, beside a
// line as in the hold.
func TestContainerOpenedEarlier(t *testing.T) {
	s := complete(t)
	edit(s, "fluid", func(f *journal.FluidContainer) { f.Opened = "2026-02-20" })
	w := s.write()
	_, shop := fold(w.log)
	for _, thing := range facts.StockOf(shop).Things(shop.Line(w.ids["LF bleed"])[0]) {
		if thing.Thing == "fluid/bf-31" && !strings.Contains(thing.Say, "opened on 20 February 2026") {
			t.Errorf("it says %s", thing.Say)
		}
	}
	v := stands(checked(supplied(t, "caliper"), w.log), "fluid-fresh", at("", ""))
	if told := strings.Join(v.Figures, "; "); !strings.Contains(told, "bf-31 was open for 10 days") {
		t.Errorf("the hold says %s", told)
	}
}

// A gauge without a last day has no other one when it is used.
func TestGaugeInUse(t *testing.T) {
	s := complete(t)
	s.after("fluid", plain("gauge", office, "tool/fg-1", "io", journal.Tool{Tool: "fg-1", What: journal.FilmGauge}))
	s.after("gauge", plain("gauge check", office, "tool/fg-1", "io", journal.ToolCheck{Tool: "fg-1", Result: journal.InTolerance}))
	edit(s, "film LF caliper", func(r *journal.FilmReadings) { r.Gauge = "fg-1" })
	s.steps[s.index("film LF caliper")].after = 500 * 24 * time.Hour
	w := s.write()
	_, shop := fold(w.log)
	if is := facts.StockOf(shop).ToolAt("fg-1", shop.Line(w.ids["film LF caliper"])[0]); is.Doubt != facts.NoDoubt {
		t.Errorf("in use it is %q: %s", is.Doubt, is.Say())
	}
}
