package invented

import (
	"fmt"
	"math/rand/v2"
	"slices"

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

// TakeOff takes calipers and brackets off and apart, once the vehicle's manual
// was read. Tagging says what is written of a part, which is the i-th of its
// corner.
func (b *Bench) TakeOff(removal func(p journal.Subject) *journal.Removal, tagging func(p journal.Subject, i int) *journal.Tagging) {
	b.Then(journal.About(b.Job, "", ""), &journal.Manual{Fluid: journal.DOT4, Order: farthestFirst(journal.OnVehicle()), From: journal.ReadInManual, Page: "brakes 4-2"})
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
		b.Then(caliper, &journal.Stripping{Removed: []string{"piston", "bleeder screw", "guide pins"}, Rubber: journal.RubberOut, Out: MakeUp("caliper").Rubber,
			Evidence: b.Shots(1, "rubber beside the bare body")})
	}
}

// PutBack puts calipers and brackets back on the vehicle and bleeds it.
func (b *Bench) PutBack() {
	about := journal.About(b.Job, "", "")
	for _, corner := range b.Corners {
		at, caliper, bracket := journal.About(b.Job, corner, ""), journal.About(b.Job, corner, "caliper"), journal.About(b.Job, corner, "bracket")
		b.Then(caliper, &journal.Rebuild{NewParts: MakeUp("caliper").Rubber, Lubricant: "brake rubber grease"})
		for _, part := range []journal.Subject{bracket, caliper} {
			b.Then(part, &journal.SeatProof{Shown: MakeUp(part.Part()).Bare(), State: journal.SeatBare, Evidence: b.Shots(1, "bare seats and faces")})
		}
		b.Then(bracket, &journal.Refitting{Bleeder: journal.NoBleeder})
		b.Then(bracket, &journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket-front", Count: 2, NewBolts: true, Marked: true})
		b.Then(caliper, &journal.Refitting{Bleeder: journal.BleederUp, Evidence: b.Shots(1, "back on, bleeder screw up")})
		b.Then(caliper, &journal.Torque{Joint: "guide pin bolts", Torque: q[unit.Torque]("30 N.m"), Tool: b.Small, Spec: "pin-front", Count: 2})
		b.Then(at, &journal.Washers{Joint: "banjo bolt", Count: 2, Material: journal.CopperWasher, Size: "10 x 14 x 1", Evidence: b.Shots(1, "new washers")})
		b.Then(at, &journal.LineConnection{At: "banjo " + string(corner), Evidence: b.Shots(1, "empty bag")})
		b.Then(at, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: b.Small, Spec: "banjo-front", Marked: true, Evidence: b.Shots(1, "paint line across head and seat")})
	}
	b.bleed(about)
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

// bleed bleeds the corners in the vehicle's order. Somebody looks at the reservoir
// before the first, between every two and after the last.
func (b *Bench) bleed(about journal.Subject) {
	const usual, full, span = 60, 90, 300 // %, %, mL from MIN to MAX
	level := usual
	fill := func() {
		b.Then(about, &journal.Reservoir{Before: q[unit.Ratio](percent(level)), After: q[unit.Ratio](percent(full)), Added: q[unit.Volume](fmt.Sprintf("%d mL", (full-level)*span/100)),
			Span: q[unit.Volume](fmt.Sprintf("%d mL", span)), Fluid: b.Fluid})
		level = full
	}
	fill()
	for _, corner := range farthestFirst(b.Corners) {
		share := 33 + b.Dice.IntN(40)/3
		b.Then(journal.About(b.Job, corner, ""), &journal.Bleed{Fluid: b.Fluid, Drawn: q[unit.Volume](fmt.Sprintf("%d mL", share*span/100)),
			Bubbles: journal.NoBubbles, Screw: q[unit.Torque]("12 N.m"), Tool: b.Small, Evidence: b.Shots(1, "no bubbles in the tube")})
		level -= share
		fill()
	}
}

// farthestFirst puts corners into the order in which they are bled.
func farthestFirst(corners []journal.Corner) []journal.Corner {
	list := slices.Clone(corners)
	all := journal.OnVehicle()
	slices.SortFunc(list, func(a, b journal.Corner) int { return slices.Index(all, b) - slices.Index(all, a) })
	return list
}
