package card_test

import (
	"strings"
	"testing"

	"fettlebook/journal/card"
)

func TestDiff(t *testing.T) {
	old := supplied(t, "arm")
	if changes := card.Diff(old, supplied(t, "arm")); len(changes) > 0 {
		t.Errorf("a card differs from itself: %v", changes)
	}
	text := strings.NewReplacer(
		"edition: 1", "edition: 2",
		"heat_minutes: {is: 120,", "heat_minutes: {is: 90,",
		"rule: part.mask.done && part.mask.covered", "rule: part.mask.covered",
		"bush:", "bushes:", "corner.joints.bush.", "corner.joints.bushes.",
		"parts: [arm]\n    wants: [part.removed, part.tagged]", "parts: [arm]\n    wants: [part.removed]",
	).Replace(old.Text())
	changed, err := card.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, c := range card.Diff(old, changed) {
		lines = append(lines, c.String())
	}
	got := strings.Join(lines, "\n")
	want := `edition: 1 → 2
limit heat_minutes: 120 min (shop default; the maker of the part comes first) → 90 min (shop default; the maker of the part comes first)
joint bush: removed: bush bolt, bushing bolt; of arm; part of the hydraulics: no; bolts: 2
stage removed: wants: part.removed, part.tagged → part.removed
hold masked: rule: part.mask.done && part.mask.covered → part.mask.covered
hold heat-dose: limit: at most 120 min above 150 °C unless the part is of iron or steel, or its maker allows more → at most 90 min above 150 °C unless the part is of iron or steel, or its maker allows more
hold all-back: once: corner.joints.ball.done || corner.joints.bush.done || corner.wheel.done → corner.joints.ball.done || corner.joints.bushes.done || corner.wheel.done
hold bush-torque: when: corner.joints.bush.needed → corner.joints.bushes.needed
hold bush-torque: rule: corner.joints.bush.inside && corner.joints.bush.complete → corner.joints.bushes.inside && corner.joints.bushes.complete
joint bushes: new: bush bolt, bushing bolt; of arm; part of the hydraulics: no; bolts: 2`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
