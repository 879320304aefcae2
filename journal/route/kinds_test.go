package route_test

import (
	"slices"

	"fettlebook/journal"
)

// What most jobs have alike.

func usualManual() journal.Manual {
	return journal.Manual{Fluid: journal.DOT4, Order: []journal.Corner{"RR", "LR", "RF", "LF"}, From: journal.ReadInManual, Page: "4-20"}
}

func onStands() journal.Raising { return journal.Raising{Points: "sills", Stands: 2} }

func onLift() journal.Raising { return journal.Raising{Points: "sills", Lift: true} }

// The names of presets of the supplied cards.
const (
	floating = "floating caliper, one piston"
	boots    = "bracket that carries pin boots"
	cable    = "floating rear caliper, cable parking brake"
	fixed4   = "fixed caliper, four pistons"
	fixed2   = "fixed caliper, two pistons"
	twoBush  = "arm with ball joint and two bushes"
)

// pairs are parts of several corners, those of a corner together.
func pairs(corners []journal.Corner, parts ...fit) (list []fit) {
	for _, c := range corners {
		for _, f := range parts {
			f.corner = c
			list = append(list, f)
		}
	}
	return list
}

func fronts() []journal.Corner { return []journal.Corner{"LF", "RF"} }

func rears() []journal.Corner { return []journal.Corner{"RR", "LR"} }

// front is a floating front pair with its brackets.
func front() plan {
	return plan{fits: pairs(fronts(), fit{part: "caliper", preset: floating}, fit{part: "bracket", preset: boots}), bled: []journal.Corner{"RF", "LF"}, manual: usualManual(), raised: onStands()}
}

// rearElectric is a rear pair with motors on its calipers.
func rearElectric() plan {
	p := plan{fits: pairs(rears(), fit{part: "caliper", preset: electric}, fit{part: "bracket", preset: bootless}), bled: rears(), manual: usualManual(), raised: onStands()}
	p.manual.Parking = journal.ElectricParking
	return p
}

// rearCable is a rear pair with a cable parking brake.
func rearCable() plan {
	p := rearElectric()
	p.fits = pairs(rears(), fit{part: "caliper", preset: cable}, fit{part: "bracket", preset: bootless})
	p.manual.Parking = journal.CableParking
	return p
}

// fixedAround is an electric car with fixed calipers all round and motors for
// the parking brake at the rear, on a lift.
func fixedAround() plan {
	p := plan{
		fits: slices.Concat(pairs(fronts(), fit{part: "caliper", preset: fixed4}), pairs(rears(), fit{part: "caliper", preset: fixed2})),
		bled: []journal.Corner{"RR", "LR", "RF", "LF"}, manual: usualManual(), raised: onLift(),
	}
	p.manual.Parking = journal.ElectricParking
	return p
}

// fourAlike is four floating calipers of one kind, on a lift.
func fourAlike() plan {
	p := fixedAround()
	p.fits = pairs(slices.Concat(fronts(), rears()), fit{part: "caliper", preset: floating})
	p.manual.Parking = journal.DrumParking
	return p
}

// oneBracket is a bracket alone: the caliper hangs aside, its line closed.
func oneBracket() plan {
	return plan{fits: pairs([]journal.Corner{"RF"}, fit{part: "bracket", preset: boots}), closed: true, hangs: true, manual: usualManual(), raised: onStands()}
}

// onlyBled is a corner that is bled and nothing else.
func onlyBled() plan {
	return plan{bled: []journal.Corner{"LR"}, manual: usualManual(), raised: onStands()}
}

// flushed is a change of the fluid of the whole system.
func flushed() plan {
	return plan{bled: []journal.Corner{"RR", "LR", "RF", "LF"}, whole: true, manual: usualManual(), raised: onLift()}
}

// oneArm is a suspension arm.
func oneArm() plan {
	return plan{route: "arm", fits: pairs([]journal.Corner{"RF"}, fit{part: "arm", preset: twoBush}), closed: true, raised: onStands()}
}

// flareFront is a front pair whose lines join by flare nuts.
func flareFront() plan {
	p := front()
	p.line = journal.JoinsByFlare
	return p
}

// mineral is a vehicle that asks for mineral oil.
func mineral() plan {
	p := front()
	p.manual.Fluid, p.manual.From, p.manual.Page = journal.MineralOil, journal.ReadOnCap, ""
	return p
}

// diagonal is a front pair of a vehicle with a diagonal split.
func diagonal() plan {
	p := front()
	p.manual.Order, p.bled = []journal.Corner{"LR", "RF", "RR", "LF"}, []journal.Corner{"RF", "LF"}
	return p
}
