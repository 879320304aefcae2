package form_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// The unit that a person chose for a number is the one that is shown as chosen and the
// one that is written: in every field, in every kind of shop, for a figure that would be
// likelier in another unit too, and after a tap on + or −. Only a unit that was typed
// behind the number itself comes before it.
func TestTheChosenUnitIsNeverOverruled(t *testing.T) {
	tried := 0
	for _, in := range []unit.System{{}, unit.Metric(), unit.USCustomary()} {
		quantities(t, in, func(kind journal.Kind, f form.Field) {
			f.Least, f.Required, f.More = 0, false, false // how much may be asked is asked elsewhere
			name := f.Name
			if name == "" {
				name = "value"
			}
			f.Name = name
			sheet := form.Sheet{Kind: kind, Fields: []form.Field{f}}
			for _, chosen := range f.Units {
				for _, number := range []string{"1", "27", "180", "392", "0.5"} {
					tried++
					v := form.Values{name: {number}, name + ".unit": {chosen}}
					if shown := sheet.View(v, nil, form.Known{}).Fields[0]; shown.Unit != chosen || shown.Text != number {
						t.Errorf("%s %s: %s %s is shown as %s %s", kind, name, number, chosen, shown.Text, shown.Unit)
					}
					for what, typed := range map[string]form.Values{"as typed": v, "after +": sheet.Step(v, name, 1)} {
						raw, _ := sheet.Data(typed)
						if text := string(raw); raw != nil && strings.Contains(text, `"`+name+`"`) && !strings.Contains(text, " "+chosen+`"`) {
							t.Errorf("%s %s, %s: %s %s is written as %s", kind, name, what, number, chosen, text)
						}
						if typed.Get(name+".unit") != chosen {
							t.Errorf("%s %s, %s: %q is chosen, and was %q", kind, name, what, typed.Get(name+".unit"), chosen)
						}
					}
					other := form.Values{name: {number + " " + f.Units[0]}, name + ".unit": {chosen}}
					if shown := sheet.View(other, nil, form.Known{}).Fields[0]; shown.Unit != f.Units[0] {
						t.Errorf("%s %s: %s typed with its unit is shown in %s", kind, name, other.Get(name), shown.Unit)
					}
				}
			}
		})
	}
	if tried < 1000 {
		t.Errorf("only %d were tried", tried)
	}
}
