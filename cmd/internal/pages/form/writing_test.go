package form_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Where the decimal sign is a comma a form shows it and takes it, and a point as well. What
// can be read in two ways is refused as everywhere.
func TestDecimalComma(t *testing.T) {
	sheet, err := form.Of(journal.TorqueApplied)
	if err != nil {
		t.Fatal(err)
	}
	comma := sheet.In(unit.Metric().Written(words.Writing{Decimal: words.Comma}))
	fill := func(torque string) form.Values {
		return form.Values{"joint": {"banjo bolt"}, "torque": {torque}, "torque.unit": {"N·m"}, "tool": {"tw-1"}}
	}
	for typed, want := range map[string]string{"22,5": `"22.5 N·m"`, "22.5": `"22.5 N·m"`, "22": `"22 N·m"`} {
		data, wrong := comma.Data(fill(typed))
		if len(wrong) > 0 || !strings.Contains(string(data), want) {
			t.Errorf("%q is read as %s (%v), want %s", typed, data, wrong, want)
			continue
		}
		if got := comma.Values(data).Get("torque"); got != strings.ReplaceAll(typed, ".", ",") {
			t.Errorf("%q is shown again as %q", typed, got)
		}
	}
	for _, typed := range []string{"1,234", "2,2,5"} {
		if data, wrong := comma.Data(fill(typed)); wrong["torque"] == "" {
			t.Errorf("%q is read as %s", typed, data)
		}
	}
	if _, wrong := sheet.Data(fill("22,5")); wrong["torque"] == "" {
		t.Error("a comma is taken in a shop whose sign is a point")
	}
	if got := comma.Step(fill("22,5"), "torque", 1).Get("torque"); got != "23,5" {
		t.Errorf("one step more than 22,5 is %q", got)
	}
}
