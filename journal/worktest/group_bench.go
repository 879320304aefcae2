package worktest

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// takeOff plans a job's morning: off the vehicle and bare.
func (g *group) takeOff(j *job, at time.Time) {
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(2, 6))
	}
	for _, corner := range j.car.corners {
		caliper, bracket := journal.About(j.id, corner, "caliper"), journal.About(j.id, corner, "bracket")
		g.parts = append(g.parts, caliper, bracket)
		then(caliper, &journal.Removal{Condition: pick(g.work, "rust on the outside, boot torn", "old paint flaking, no leak", "dry, pins move"), Evidence: g.shots(1, "as it came off")})
		then(bracket, &journal.Removal{Condition: "rust, pins move"})
		for i, part := range []journal.PartID{"caliper", "bracket"} {
			then(journal.About(j.id, corner, part), &journal.Tagging{Tag: fmt.Sprintf("%s-%d", corner, i+1),
				Mark: j.car.marks[journal.About("", corner, part)], Metal: journal.Iron})
		}
		then(journal.About(j.id, corner, ""), &journal.Bagging{Bag: string(corner), Evidence: g.shots(1, "bag of this corner"),
			Items: []journal.Item{{What: "guide pin", Count: 2}, {What: "pad clip", Count: 4}, {What: "bracket bolt", Count: 2}}})
		then(journal.About(j.id, corner, ""), &journal.LineOpening{At: "banjo " + string(corner) + ", hose plugged"})
		then(caliper, &journal.Stripping{Removed: []string{"piston", "square seal", "dust boot", "bleeder", "pin boots"}, Rubber: journal.RubberOut,
			Evidence: g.shots(1, "rubber beside the bare body")})
	}
}

// putBack plans the last afternoon: on the vehicle, bled, driven, handed
// over, and asked about two weeks later.
func (g *group) putBack(j *job, at time.Time) {
	g.handOver(j, g.refit(j, at), journal.About(j.id, "", ""))
}

// refit plans that a vehicle is put together and bled, and says when that is
// done.
func (g *group) refit(j *job, at time.Time) time.Time {
	about := journal.About(j.id, "", "")
	small := journal.ToolID("tw-2")
	if j.bench == "bench-2" {
		small = "tw-3"
	}
	then := func(about journal.Subject, p journal.Payload) {
		g.line(j, at, about, j.who, p)
		at = at.Add(g.minutes(1, 4))
	}
	for _, corner := range j.car.corners {
		at1, caliper, bracket := journal.About(j.id, corner, ""), journal.About(j.id, corner, "caliper"), journal.About(j.id, corner, "bracket")
		then(caliper, &journal.Rebuild{NewParts: []journal.Item{{What: "square seal", Count: 1}, {What: "dust boot", Count: 1}}, Lubricant: "brake rubber grease"})
		then(bracket, &journal.SeatProof{Seats: []string{"bolt seats", "knuckle face"}, State: journal.SeatBare, Evidence: g.shots(1, "bare seats and faces")})
		then(caliper, &journal.SeatProof{Seats: []string{"banjo face", "pad lands", "pin bolt seats"}, State: journal.SeatBare, Evidence: g.shots(1, "bare seats and faces")})
		then(bracket, &journal.Refitting{Bleeder: journal.NoBleeder})
		then(bracket, &journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket-front", Count: 2, NewBolts: true, Marked: true})
		then(caliper, &journal.Refitting{Bleeder: journal.BleederUp, Evidence: g.shots(1, "back on, bleeder screw up")})
		then(caliper, &journal.Torque{Joint: "guide pin bolts", Torque: q[unit.Torque]("30 N.m"), Tool: small, Spec: "pin-front", Count: 2})
		then(at1, &journal.Washers{Joint: "banjo bolt", Count: 2, Material: journal.CopperWasher, Size: "10 x 14 x 1", Evidence: g.shots(1, "new washers")})
		then(at1, &journal.LineConnection{At: "banjo " + string(corner)})
		then(at1, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: small, Spec: "banjo-front", Marked: true, Evidence: g.shots(1, "paint line across head and seat")})
	}
	for _, corner := range j.car.corners {
		then(about, &journal.Reservoir{Before: q[unit.Ratio]("60 %"), After: q[unit.Ratio]("90 %"), Added: q[unit.Volume]("90 mL"), Fluid: g.shop.fluid})
		then(journal.About(j.id, corner, ""), &journal.Bleed{Fluid: g.shop.fluid, Drawn: q[unit.Volume](fmt.Sprintf("%d mL", 100+g.dice.IntN(40))),
			Bubbles: journal.NoBubbles, Screw: q[unit.Torque]("12 N.m"), Tool: small, Evidence: g.shots(1, "no bubbles in the tube")})
	}
	then(about, &journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: journal.Dry})
	then(about, &journal.PedalCheck{Feel: journal.PedalFirm})
	for _, s := range []struct {
		step   journal.WheelStep
		torque string
	}{{journal.WheelSnug, "50 N.m"}, {journal.WheelFull, "120 N.m"}} {
		for _, corner := range j.car.corners {
			then(journal.About(j.id, corner, ""), &journal.WheelFit{Step: s.step, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque](s.torque), Tool: "tw-1", Spec: "wheel"})
		}
	}
	if g.dice.IntN(4) == 0 {
		then(about, &journal.Remark{Evidence: journal.Evidence{Note: pick(g.work, "Pads have 7 mm left; told the customer by telephone.", "Disc has a lip on its rim.",
			"One wheel stud was stiff and was cleaned.", "Hose clip replaced from the drawer.")}})
	}
	return at
}
