package record_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// A vehicle that is told otherwise than it is on record is another one, or
// somebody slipped; what was not said, or is only written another way, is not.
func TestDiffers(t *testing.T) {
	v := &record.Vehicle{VIN: "ZZZ11AAA0A0000001", Plates: []string{"AB 1", "TRL 4471"}, Looks: []string{"moss-green estate"},
		Jobs: []*record.Job{{Odometer: q[unit.Distance]("84210 km")}, {}, {Odometer: q[unit.Distance]("60000 mi")}}}
	for name, c := range map[string]struct {
		is       journal.Vehicle
		odometer string
		want     string
	}{
		"the same":                 {journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "trl-4471", Looks: "green estate"}, "97000 km", "[]"},
		"an earlier plate of its":  {journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "ab 1"}, "", "[]"},
		"nothing said":             {journal.Vehicle{VIN: "ZZZ11AAA0A0000001"}, "", "[]"},
		"the VIN with spaces":      {journal.Vehicle{VIN: "zzz11 aaa0a 0000001"}, "", "[]"},
		"another plate":            {journal.Vehicle{Plate: "HX 41 TRE"}, "", "[{plate TRL 4471 HX 41 TRE}]"},
		"another car":              {journal.Vehicle{Plate: "TRL 4471", Looks: "black van"}, "", "[{looks moss-green estate black van}]"},
		"a smaller odometer":       {journal.Vehicle{Plate: "TRL 4471"}, "96000 km", "[{odometer 60000 mi 96000 km}]"},
		"the same in another unit": {journal.Vehicle{Plate: "TRL 4471"}, "60001 mi", "[]"},
		"the plate of another VIN": {journal.Vehicle{VIN: "ZZZ11AAA0A0000002", Plate: "TRL 4471"}, "", "[{VIN ZZZ11AAA0A0000001 ZZZ11AAA0A0000002}]"},
		"everything":               {journal.Vehicle{VIN: "ZZZ11AAA0A0000001", Plate: "X 1", Looks: "van"}, "1 km", "[{plate TRL 4471 X 1} {looks moss-green estate van} {odometer 60000 mi 1 km}]"},
	} {
		var odometer unit.Distance
		if c.odometer != "" {
			odometer = q[unit.Distance](c.odometer)
		}
		if got := fmt.Sprint(v.Differs(c.is, odometer)); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}
