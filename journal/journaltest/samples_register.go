package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Public keys of nobody: their private halves were thrown away.
const (
	officeKey  = "fettlebook/k7m2q4xw/office+5701c86c+Ab4poHDRZJ+yyfpS+Ecd1erj+buGTAfLoIpnfINntp9T"
	hubKey     = "fettlebook/k7m2q4xw/hub+f8c8b3a3+AS2t66Y8jqA6iglM+/cf9SK9to/kWF5ZOKQuzBizIkt0"
	benchKey   = "fettlebook/k7m2q4xw/t3fz8c1n+c8745710+AbQLu0OZE1Yv6Rz6onUBkJ4EDgS18eFDJcQNWIGsB8Sh"
	nextOffice = "fettlebook/k7m2q4xw/office+79b73846+AdBjRloiXseMM2mzoFZx81JIPbUR+DP42VH99z55vkkT"
	nextHub    = "fettlebook/k7m2q4xw/hub+e84c4acf+ASzWL+d+aW56cWCjraArZfsb7dCqdwcVB3zyAGpzelx7"
	connectKey = "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO"
)

// What a certificate that was thrown away is known by.
const certificate = "81acd762140fa692a142822d2fbe4dc6f54bcaa501f68ab37e5aeed0bafe4d99"

// Signatures of nothing.
const (
	signedOnce  = "BfcDQQeKz2oG1CPSFyD5ZD1flTYm2IoCY23DqeeVgq6wyCCFf9P43FAqqDYNLI+pephf2ltim4CcrRj/ti04mQ=="
	signedTwice = "ko1Q0eJNq3zKYs/oT83Pn8aVFgonj5G1wK8itwnYL4qjtJVbPem6bQoOt9ky3GTE1cY/wt6HRBrS5bkp+bZ8Xg=="
	signedAgain = "YnWOSle3b+sfyHg4fE0mOeS/ve0Gr7XyIieDXZ/GO/vTDfNER64h7OaxZZwKvr1xbzUOgcNDmjeZFy3KmwX3jw=="
)

// Two checkpoints of benchKey that contradict each other.
const (
	heldCheckpoint = `fettlebook/k7m2q4xw/t3fz8c1n
412
lqKW0iTyhcZ77pPDD4owkVfw2qNdxbh+QQt4YwoJz8c=

— fettlebook/k7m2q4xw/t3fz8c1n yHRXEIiuezwvoRMTzYZOWoxkw5qra1o1X2q90YOM/oWctrYEr4Y0NyI5EjKUel8pZwcFjf72EGqZF+m0nuJIpW04ZAE=
`
	shownCheckpoint = `fettlebook/k7m2q4xw/t3fz8c1n
412
tBP0fRPuL+bIRbLuFBr4HehY307FSaWLeXC7lmRbyNI=

— fettlebook/k7m2q4xw/t3fz8c1n yHRXEMgRsK6y7DQxxLNZxIn/ACyCE9n8tRFliYdZ61jZVJP8pLwfFHzhI/AQfk0dlxCsksmLi3KcCu/5IcquTX4OngA=
`
)

const routeText = `route: calipers
edition: 3
stages:
  - name: strip
  - name: mask
  - name: bake
`

func registerSamples() []sample {
	shop := journal.Of("shop", string(Shop))
	bench := journal.Of("device", string(Bench))
	io := journal.Of("person", string(Io))
	expires := stamp("2026-03-02T18:00:00.000+01:00")
	return []sample{
		{shop,
			&journal.Shop{Shop: Shop, Name: "Pin Bore Works", LogKey: officeKey, CosignKey: hubKey, Evidence: seen("the sign over the door", "founded at the office machine")},
			&journal.Shop{Shop: Shop, Name: "Pin Bore Works", LogKey: officeKey, CosignKey: hubKey}},
		{shop,
			&journal.Invitation{Token: digest("a token"), Expires: expires, Name: "bench 2", Evidence: seen("the printed invitation", "for the tablet by the blast cabinet")},
			&journal.Invitation{Token: digest("a token"), Expires: expires}},
		{shop,
			&journal.Units{Units: unit.USCustomary(), Evidence: seen("the chart on the wall", "as every wrench here is marked")},
			&journal.Units{Units: unit.Metric()}},
		{shop,
			&journal.Writing{Decimal: "comma", Thousands: "thin space", Days: "day.month.year", People: journal.ByFullName, Evidence: seen("the letterhead", "as our papers always had it")},
			journal.NewWriting(words.Writing{}, journal.ByInitials)},
		{shop,
			&journal.KeyChange{
				Because: journal.KeysStolen, OldLogKey: officeKey, OldCosignKey: hubKey, LogKey: nextOffice, CosignKey: nextHub, Certificate: certificate,
				Held:      journal.After{{Device: "q9hd2w0r", Size: 17, Root: [16]byte{0x3f, 0x9a}}},
				OldSigned: signedOnce, LogSigned: signedTwice, CosignSigned: signedAgain, Evidence: seen("the empty shelf", "the office machine was taken overnight"),
			},
			&journal.KeyChange{
				Because: journal.KeysRenewed, OldLogKey: officeKey, OldCosignKey: hubKey, LogKey: nextOffice, CosignKey: nextHub, Certificate: certificate,
				LogSigned: signedTwice, CosignSigned: signedAgain,
			}},
		{bench,
			&journal.KeyAgreement{Device: Bench, Old: digest("the old keys"), New: digest("the new keys"), Size: 412, Root: digest("the register"), Evidence: seen("the desk’s screen", "read out by the owner")},
			&journal.KeyAgreement{Device: Bench, Old: digest("the old keys"), New: digest("the new keys"), Size: 412, Root: digest("the register")}},
		{bench,
			&journal.Device{Device: Bench, Name: "bench 2", LogKey: benchKey, ConnectKey: connectKey, Invitation: entryID(cited), Replaces: "q9hd2w0r", Evidence: seen("the tablet", "the old one fell into the soak tank")},
			&journal.Device{Device: Bench, Name: "bench 2", LogKey: benchKey, ConnectKey: connectKey, Invitation: entryID(cited)}},
		{bench,
			&journal.Revocation{Device: Bench, Reason: "left in a customer's car", Evidence: seen("the empty holder", "missed since Friday")},
			&journal.Revocation{Device: Bench, Reason: "left in a customer's car"}},
		{bench,
			&journal.ForkFound{Device: Bench, Held: heldCheckpoint, Shown: shownCheckpoint, Evidence: seen("the tablet's screen", "restored from an old backup")},
			&journal.ForkFound{Device: Bench, Held: heldCheckpoint, Shown: shownCheckpoint}},
		{io,
			&journal.Person{Person: Io, Initials: "IO", Duties: []journal.Duty{"bench", "second check"}, Card: "c7w1m3e9", Evidence: seen("the stamp", "starts at the blast cabinet")},
			&journal.Person{Person: Io, Initials: "IO"}},
		{io,
			&journal.Retirement{Person: Io, Evidence: seen("the returned stamp", "moved away")},
			&journal.Retirement{Person: Io}},
		{journal.Of("route", "calipers"),
			&journal.RouteCard{Route: "calipers", Edition: 3, Text: routeText, Because: entryID(cited), Evidence: seen("the card on the wall", "adds a count of plugs")},
			&journal.RouteCard{Route: "calipers", Edition: 3, Text: routeText}},
		{journal.Of("lot", string(Lot)),
			&journal.PowderLot{
				Lot: Lot, Chemistry: "polyester/HAA", Colour: "slate blue", Mass: q[unit.Mass]("20 kg"),
				Schedule: []journal.BakePoint{
					{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("15 min")},
					{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("10 min")},
				},
				Most:    []journal.BakePoint{{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("30 min")}},
				FilmLow: q[unit.Length]("60 µm"), FilmHigh: q[unit.Length]("90 µm"),
				Sheet: "data sheet 0412, revision B", UseBy: "2027-09-30", Opened: "2026-02-20", Storage: "dry cabinet, below 25 °C", Evidence: seen("the label on the box", "box was dry"),
			},
			&journal.PowderLot{Lot: Lot, Chemistry: "polyester/HAA", Colour: "slate blue"}},
		{journal.Of("fluid", "bf-31"),
			&journal.FluidContainer{Fluid: "bf-31", Grade: "DOT 4", Volume: q[unit.Volume]("5 L"), Batch: "B 2231", UseBy: "2027-01-31", Opened: "2026-02-27", Evidence: seen("the seal of the can", "seal was whole")},
			&journal.FluidContainer{Fluid: "bf-31", Grade: "DOT 4"}},
		{journal.Of("tool", string(Wrench)),
			&journal.Tool{
				Tool: Wrench, What: "torque wrench", Serial: "88-1204", Low: q[unit.Torque]("20 N.m"), High: q[unit.Torque]("100 N.m"),
				Tolerance: q[unit.Ratio]("4 %"), Evidence: seen("the scale of the wrench", "hangs by the lift"),
			},
			&journal.Tool{Tool: Wrench, What: "torque wrench"}},
		{journal.Of("tool", string(Wrench)),
			&journal.ToolCheck{Tool: Wrench, Result: "in tolerance", Certificate: "C-2026-017", Due: "2027-03-01", Cycles: 5000, Evidence: seen("the certificate", "checked at three points")},
			&journal.ToolCheck{Tool: Wrench, Result: "in tolerance"}},
		{journal.Of("spec", "front-bracket"),
			&journal.TorqueSpec{
				Spec: "front-bracket", Joint: "caliper bracket to knuckle", Nominal: q[unit.Torque]("108 N.m"),
				Low: q[unit.Torque]("98 N.m"), High: q[unit.Torque]("118 N.m"), From: "maker's manual", Page: "BR-31",
				Tolerance: q[unit.Torque]("10 N.m"), General: q[unit.Ratio]("10 %"), Angle: 90, Bolts: 2, SingleUse: true, Thread: "clean and dry",
				Fits: []string{"estate, vented discs"}, VINs: []string{"XX1ZZZ9A"}, Evidence: seen("the page", "read aloud and checked"),
			},
			&journal.TorqueSpec{Spec: "front-bracket", Joint: "caliper bracket to knuckle", Nominal: q[unit.Torque]("108 N.m"), From: "maker's manual"}},
		{bench,
			&journal.ClockReading{Device: Bench, OffsetMs: -2140, RoundTripMs: 18, Evidence: seen("both clocks", "after the battery was changed")},
			&journal.ClockReading{Device: Bench, OffsetMs: -2140, RoundTripMs: 18}},
	}
}
