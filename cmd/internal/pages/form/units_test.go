package form_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// metric and customary are the spellings of units that the other kind of shop never needs.
var (
	metric    = []string{"N·m", "°C", "K", "bar", "kPa", "µm", "mm", "mL", "L", "km", "kg"}
	customary = []string{"lb·ft", "lb·in", "°F", "psi", "mil", "in", "US fl oz", "mi", "lb"}
)

// quantities yields every field of every form for a number with a unit.
func quantities(t *testing.T, in unit.System, each func(kind journal.Kind, f form.Field)) {
	t.Helper()
	seen := 0
	for kind := range journal.Kinds() {
		sheet, err := form.Of(kind)
		if err != nil {
			continue
		}
		var walk func([]form.Field)
		walk = func(fields []form.Field) {
			for _, f := range fields {
				if f.Control == form.Quantity {
					seen++
					each(kind, f)
				}
				walk(f.Cells)
			}
		}
		walk(sheet.In(in).Fields)
	}
	if seen < 30 {
		t.Fatalf("only %d quantities were found", seen)
	}
}

// Every form asks in the shop's units first, steps as far as in the other kind, and offers
// the others still.
func TestUnitsOfTheShopComeFirst(t *testing.T) {
	for _, c := range []struct {
		name    string
		in      unit.System
		foreign []string
	}{
		{"nobody chose", unit.System{}, customary},
		{"metric", unit.Metric(), customary},
		{"US customary", unit.USCustomary(), metric},
	} {
		t.Run(c.name, func(t *testing.T) {
			quantities(t, c.in, func(kind journal.Kind, f form.Field) {
				if slices.Contains(c.foreign, f.Units[0]) {
					t.Errorf("%s: %s is asked in %s first", kind, f.Name, f.Units[0])
				}
				if f.Step <= 0 {
					t.Errorf("%s: %s steps by %g", kind, f.Name, f.Step)
				}
				if i := slices.Index(f.Units, f.Units[0]); slices.Contains(f.Units[i+1:], f.Units[0]) {
					t.Errorf("%s: %s offers a unit twice: %q", kind, f.Name, f.Units)
				}
			})
		})
	}
	plain := map[string][]string{}
	quantities(t, unit.System{}, func(kind journal.Kind, f form.Field) { plain[string(kind)+f.Name] = f.Units })
	quantities(t, unit.USCustomary(), func(kind journal.Kind, f form.Field) {
		for _, u := range plain[string(kind)+f.Name] {
			if !slices.Contains(f.Units, u) {
				t.Errorf("%s: %s is not offered in %s any more", kind, f.Name, u)
			}
		}
	})
}

// Of each quantity another unit can be chosen.
func TestUnitsAreChosenByQuantity(t *testing.T) {
	in := unit.Metric()
	in.Pressure, in.SmallTorque = unit.PSI, unit.PoundForceInch
	sheet, err := form.Of(journal.BleedDone)
	if err != nil {
		t.Fatal(err)
	}
	sheet = sheet.In(in)
	if screw, drawn := sheet.Field("screw"), sheet.Field("drawn"); screw.Units[0] != "lb·in" || screw.Step != 10 || drawn.Units[0] != "mL" || drawn.Step != 10 {
		t.Errorf("the screw is asked in %v by %g, the volume in %v by %g", screw.Units, screw.Step, drawn.Units, drawn.Step)
	}
	data, problems := sheet.Data(form.Values{"fluid": {"can-1"}, "drawn": {"60"}, "bubbles": {"none"}, "screw": {"106"}, "tool": {"tw-2"}})
	if len(problems) > 0 || !strings.Contains(string(data), `"screw":"106 lb·in"`) {
		t.Errorf("%s, %v", data, problems)
	}
}

// No answer to tap is in a unit of the other kind.
func TestAnswersAreInUnitsOfTheShop(t *testing.T) {
	for _, c := range []struct {
		in      unit.System
		foreign []string
	}{{unit.Metric(), customary}, {unit.USCustomary(), metric}} {
		for kind := range journal.Kinds() {
			sheet, err := form.Of(kind)
			if err != nil {
				continue
			}
			for _, f := range sheet.In(c.in).Fields {
				for _, answer := range f.Usual {
					for _, u := range c.foreign {
						if words := strings.Fields(answer); slices.Contains(words, u) && strings.ContainsAny(answer, "0123456789") {
							t.Errorf("%s: %s offers %q", kind, f.Name, answer)
						}
					}
				}
			}
		}
	}
}
