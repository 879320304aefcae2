package invented

import (
	"fmt"
	"math/rand/v2"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"
)

// Tools are the gauges and wrenches of an invented shop.
func Tools() []journal.Tool {
	return []journal.Tool{
		{Tool: "tw-1", What: journal.TorqueWrench, Serial: "0418", Low: q[unit.Torque]("40 N.m"), High: q[unit.Torque]("200 N.m"), Tolerance: q[unit.Ratio]("4 %")},
		{Tool: "tw-2", What: journal.TorqueWrench, Serial: "0562", Low: q[unit.Torque]("5 N.m"), High: q[unit.Torque]("50 N.m"), Tolerance: q[unit.Ratio]("4 %")},
		{Tool: "tw-3", What: journal.TorqueWrench, Serial: "0563", Low: q[unit.Torque]("5 N.m"), High: q[unit.Torque]("50 N.m"), Tolerance: q[unit.Ratio]("4 %")},
		{Tool: "fg-1", What: journal.FilmGauge}, {Tool: "tc-1", What: journal.Thermocouple}, {Tool: "tc-2", What: journal.Thermocouple},
	}
}

// Specs are the figures of the joints of its vehicles.
func Specs() []journal.TorqueSpec {
	list := []journal.TorqueSpec{
		{Spec: "banjo-front", Joint: "banjo bolt", Nominal: q[unit.Torque]("22 N.m"), Low: q[unit.Torque]("20 N.m"), High: q[unit.Torque]("24 N.m")},
		{Spec: "bracket-front", Joint: "bracket bolts", Nominal: q[unit.Torque]("105 N.m"), Low: q[unit.Torque]("98 N.m"), High: q[unit.Torque]("112 N.m")},
		{Spec: "pin-front", Joint: "guide pin bolts", Nominal: q[unit.Torque]("30 N.m"), Low: q[unit.Torque]("27 N.m"), High: q[unit.Torque]("33 N.m")},
		{Spec: "wheel", Joint: "wheel nuts", Nominal: q[unit.Torque]("120 N.m"), Low: q[unit.Torque]("110 N.m"), High: q[unit.Torque]("130 N.m")},
	}
	for i := range list {
		list[i].From, list[i].Page = journal.FromManual, "brakes 4-17"
	}
	return list
}

// Vehicle is the n-th vehicle that came to an invented shop.
func Vehicle(n int) journal.Vehicle {
	return journal.Vehicle{
		VIN:   string(vin.WithCheckDigit(vin.VIN(fmt.Sprintf("0FTLN4E10T2%06d", n)))),
		Plate: fmt.Sprintf("%c%c%c %04d", 'A'+n%23, 'B'+n/23%23, 'C'+n/529%23, n%10000),
	}
}

// Bench is the work at a vehicle's corners, as every invented shop does it.
type Bench struct {
	Job     journal.JobID
	Corners []journal.Corner
	Fluid   journal.FluidID
	Small   journal.ToolID // the wrench for small torques
	Dice    *rand.Rand
	Shots   func(n int, role string) journal.Evidence
	Then    func(about journal.Subject, p journal.Payload) // writes the next entry
}

// TakeOff takes calipers and brackets off and apart. Tagging says what is
// written of a part, which is the i-th of its corner.
func (b *Bench) TakeOff(removal func(p journal.Subject) *journal.Removal, tagging func(p journal.Subject, i int) *journal.Tagging) {
	for _, corner := range b.Corners {
		caliper, bracket := journal.About(b.Job, corner, "caliper"), journal.About(b.Job, corner, "bracket")
		b.Then(caliper, removal(caliper))
		b.Then(bracket, removal(bracket))
		for i, part := range []journal.Subject{caliper, bracket} {
			b.Then(part, tagging(part, i+1))
		}
		at := journal.About(b.Job, corner, "")
		b.Then(at, &journal.Bagging{Bag: string(corner), Evidence: b.Shots(1, "bag of this corner"),
			Items: []journal.Item{{What: "guide pin", Count: 2}, {What: "pad clip", Count: 4}, {What: "bracket bolt", Count: 2}}})
		b.Then(at, &journal.LineOpening{At: "banjo " + string(corner) + ", hose plugged"})
		b.Then(caliper, &journal.Stripping{Removed: []string{"piston", "square seal", "dust boot", "bleeder", "pin boots"}, Rubber: journal.RubberOut,
			Evidence: b.Shots(1, "rubber beside the bare body")})
	}
}

// Masked is what is plugged of a part while powder goes on.
func Masked(part journal.PartID) journal.Masking {
	if part == "caliper" {
		return journal.Masking{Plugs: 7, Features: []journal.Item{
			{What: "piston bore", Count: 1}, {What: "bleeder seat", Count: 1}, {What: "banjo seat", Count: 1}, {What: "pin bolt thread", Count: 2}, {What: "pad land", Count: 2}}}
	}
	return journal.Masking{Plugs: 4, Features: []journal.Item{{What: "pin bore", Count: 2}, {What: "bolt seat", Count: 2}}}
}

// PutBack puts calipers and brackets back on the vehicle and bleeds it.
func (b *Bench) PutBack() {
	about := journal.About(b.Job, "", "")
	for _, corner := range b.Corners {
		at, caliper, bracket := journal.About(b.Job, corner, ""), journal.About(b.Job, corner, "caliper"), journal.About(b.Job, corner, "bracket")
		b.Then(caliper, &journal.Rebuild{NewParts: []journal.Item{{What: "square seal", Count: 1}, {What: "dust boot", Count: 1}}, Lubricant: "brake rubber grease"})
		b.Then(bracket, &journal.SeatProof{Seats: []string{"bolt seats", "knuckle face"}, State: journal.SeatBare, Evidence: b.Shots(1, "bare seats and faces")})
		b.Then(caliper, &journal.SeatProof{Seats: []string{"banjo face", "pad lands", "pin bolt seats"}, State: journal.SeatBare, Evidence: b.Shots(1, "bare seats and faces")})
		b.Then(bracket, &journal.Refitting{Bleeder: journal.NoBleeder})
		b.Then(bracket, &journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket-front", Count: 2, NewBolts: true, Marked: true})
		b.Then(caliper, &journal.Refitting{Bleeder: journal.BleederUp, Evidence: b.Shots(1, "back on, bleeder screw up")})
		b.Then(caliper, &journal.Torque{Joint: "guide pin bolts", Torque: q[unit.Torque]("30 N.m"), Tool: b.Small, Spec: "pin-front", Count: 2})
		b.Then(at, &journal.Washers{Joint: "banjo bolt", Count: 2, Material: journal.CopperWasher, Size: "10 x 14 x 1", Evidence: b.Shots(1, "new washers")})
		b.Then(at, &journal.LineConnection{At: "banjo " + string(corner)})
		b.Then(at, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: b.Small, Spec: "banjo-front", Marked: true, Evidence: b.Shots(1, "paint line across head and seat")})
	}
	for _, corner := range b.Corners {
		b.Then(about, &journal.Reservoir{Before: q[unit.Ratio]("60 %"), After: q[unit.Ratio]("90 %"), Added: q[unit.Volume]("90 mL"), Fluid: b.Fluid})
		b.Then(journal.About(b.Job, corner, ""), &journal.Bleed{Fluid: b.Fluid, Drawn: q[unit.Volume](fmt.Sprintf("%d mL", 100+b.Dice.IntN(40))),
			Bubbles: journal.NoBubbles, Screw: q[unit.Torque]("12 N.m"), Tool: b.Small, Evidence: b.Shots(1, "no bubbles in the tube")})
	}
	b.Then(about, &journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: journal.Dry})
	b.Then(about, &journal.PedalCheck{Feel: journal.PedalFirm})
	for _, s := range []struct {
		step   journal.WheelStep
		torque string
	}{{journal.WheelSnug, "50 N.m"}, {journal.WheelFull, "120 N.m"}} {
		for _, corner := range b.Corners {
			b.Then(journal.About(b.Job, corner, ""), &journal.WheelFit{Step: s.step, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque](s.torque), Tool: "tw-1", Spec: "wheel"})
		}
	}
}
