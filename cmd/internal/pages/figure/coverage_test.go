package figure_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// How a complaint stands to its warranty is shown before the decision is
// stamped, and is never shown as a verdict.
func TestAComplaintIsNoVerdict(t *testing.T) {
	b := newBench(t)
	about := at("", "")
	b.write(about, &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Warranty: &journal.Warranty{Months: 12, Distance: q[unit.Distance]("20000 km")}, Excludes: []string{"Was it washed?"}})
	b.write(about, &journal.Release{Odometer: q[unit.Distance]("84000 km")})
	claim := b.write(about, &journal.Claim{Says: "a bubble", Odometer: q[unit.Distance]("105000 km")})
	says(t, b.of(claim), "105000 km at the complaint: 21000 km of 20000 km: outside", "0 days of 12 months;", "not answered yet: “Was it washed?”")
	f := b.supposed(about, &journal.ClaimDecision{Of: claim, Decision: "shared", Reason: "it is close", Answers: []journal.ClaimAnswer{{Question: "Was it washed?", Answer: "yes"}}})
	says(t, f, "21000 km of 20000 km: outside", "“Was it washed?” The answer is yes")
	for _, s := range f.Say {
		if s.State != "" || s.Safety {
			t.Errorf("a verdict: %+v", s)
		}
	}
}
