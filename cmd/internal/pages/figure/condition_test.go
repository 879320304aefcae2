package figure_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
)

// What can fail on the road is named when the part goes back on, as long as
// nobody decided about it, and nothing else is.
func TestConditionAtRefit(t *testing.T) {
	const named = "nobody has decided about the cracked ear at upper ear; decide before the part goes back on"
	caliper := at("LF", "caliper")
	b := newBench(t)
	names := func() bool {
		t.Helper()
		return strings.Contains(said(b.supposed(caliper, &journal.Refitting{Bleeder: "up"})), named)
	}
	b.write(caliper, &journal.Condition{Condition: "pitted bore", Where: "piston bore"})
	if names() {
		t.Error("a pitted bore is named as if it could fail on the road")
	}
	b.write(at("RF", "caliper"), &journal.Condition{Condition: "cracked ear", Where: "upper ear"})
	if names() {
		t.Error("the other side's is named here")
	}
	crack := b.write(caliper, &journal.Condition{Condition: "cracked ear", Where: "upper ear"})
	if !names() {
		t.Error("a crack without a decision is not named")
	}
	says(t, b.supposed(caliper, &journal.ConditionRuling{Of: crack, Decision: "use as is", Reason: "it was like that"}), "it can fail on the road, so use it as it is only if the maker’s data allow it")
	b.write(caliper, &journal.ConditionRuling{Of: crack, Decision: "repair", Reason: "the maker allows it"})
	if names() {
		t.Error("a crack that was decided about is still named")
	}
}
