package facts

import (
	"testing"

	"fettlebook/journal"
)

// Whose a figure is, by what it names and what is known of a vehicle.
func TestOwnerOf(t *testing.T) {
	estate := journal.Vehicle{VIN: "wdx 1284a-900012345", Looks: "Green estate, vented discs"}
	for _, c := range []struct {
		what string
		fits []string
		vins []string
		of   journal.Vehicle
		is   Owner
	}{
		{"it names nobody", nil, nil, estate, OfNobody},
		{"it names nobody, and nothing is known", nil, nil, journal.Vehicle{Plate: "TRL 4471"}, OfNobody},
		{"the whole VIN, written otherwise", nil, []string{"WDX1284A900012345"}, estate, OfThis},
		{"how the VIN begins", nil, []string{"WDX1284A"}, estate, OfThis},
		{"the second of two", nil, []string{"QKT1284A", "wdx1284a9"}, estate, OfThis},
		{"another VIN of the same type", nil, []string{"WDX1284A900012346"}, estate, OfOthers},
		{"how another VIN begins", nil, []string{"WDX1284B"}, estate, OfOthers},
		{"the VIN is not known", nil, []string{"WDX1284A"}, journal.Vehicle{Plate: "TRL 4471"}, OfOthers},
		{"its looks in another order", []string{"estate green"}, nil, estate, OfThis},
		{"a part of its looks", []string{"vented discs"}, nil, estate, OfThis},
		{"a part of a word", []string{"vent"}, nil, estate, OfOthers},
		{"more than its looks say", []string{"green estate, two pistons"}, nil, estate, OfOthers},
		{"its looks are not known", []string{"estate"}, nil, journal.Vehicle{VIN: estate.VIN}, OfOthers},
		{"words that name nothing", []string{"…"}, nil, estate, OfOthers},
		{"another VIN, and its looks", []string{"estate"}, []string{"QKT1284A"}, estate, OfThis},
	} {
		if is := OwnerOf(&journal.TorqueSpec{Fits: c.fits, VINs: c.vins}, c.of); is != c.is {
			t.Errorf("%s: %d, want %d", c.what, is, c.is)
		}
	}
}
