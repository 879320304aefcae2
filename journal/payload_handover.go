package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of what is tried once all is together, and of handing the vehicle
// back.
type (
	// ParkingBrake is the data of parkbrake.serviced.
	ParkingBrake struct {
		State   ParkingBrakeState `json:"state"`
		Battery unit.Voltage      `json:"battery,omitzero" span:"battery"`
		LampOff bool              `json:"lamp_off,omitzero"`
		Evidence
	}

	// LeakCheck is the data of leak.checked.
	LeakCheck struct {
		Held   unit.Duration `json:"held" span:"pressed"`
		Result Tightness     `json:"result"`
		Evidence
	}

	// PedalCheck is the data of pedal.checked.
	PedalCheck struct {
		Feel PedalFeel `json:"feel"`
		Evidence
	}

	// RoadTest is the data of road.tested.
	RoadTest struct {
		Distance unit.Distance `json:"distance" span:"road"`
		Result   string        `json:"result"`
		Evidence
	}

	// Release is the data of vehicle.released.
	Release struct {
		Odometer unit.Distance `json:"odometer,omitzero" span:"odometer"`
		Told     []string      `json:"told,omitempty"`              // what the customer was told
		Advised  []Advice      `json:"advised,omitempty" since:"2"` // of what everybody is told
		Sheet    string        `json:"sheet,omitzero" since:"2"`    // that was handed over, with its edition
		// ConfirmedBy is by what whoever handed it back showed that it was them.
		ConfirmedBy Confirmation `json:"confirmed,omitzero" since:"3"`
		Evidence
	}
)

func (*ParkingBrake) Kind() Kind { return ParkbrakeServiced }
func (*LeakCheck) Kind() Kind    { return LeakChecked }
func (*PedalCheck) Kind() Kind   { return PedalChecked }
func (*RoadTest) Kind() Kind     { return RoadTested }
func (*Release) Kind() Kind      { return VehicleReleased }

func (p *ParkingBrake) Say() string {
	return words.Clauses(fmt.Sprintf("parking brake: %s", p.State), words.Given("battery %s", p.Battery), words.If(p.LampOff, "lamp off"))
}

func (p *LeakCheck) Say() string {
	return words.Clauses(fmt.Sprintf("brake pedal held down for %s", p.Held), words.Choose(p.Result == Dry, "all joints dry", words.Fill("a joint is %s", p.Result)))
}

func (p *PedalCheck) Say() string { return fmt.Sprintf("pedal %s", p.Feel) }

func (p *RoadTest) Say() string { return fmt.Sprintf("driven %s: %s", p.Distance, p.Result) }

func (p *Release) Say() string {
	return words.Clauses("handed back", words.Given("odometer %s", p.Odometer), words.Fill("advice given: %s", words.Commas(p.Advised...)), words.Fill("customer told: %s", words.Commas(p.Told...)), words.Fill("sheet handed over: %s", p.Sheet), confirmedWith(p.ConfirmedBy))
}

func (r *Release) check(p *problems) { distinct(p, "advised", r.Advised) }

// ParkingBrakeState is a step of servicing a parking brake.
type ParkingBrakeState = Choice[parkingBrakeStates]

type parkingBrakeStates struct{}

func (parkingBrakeStates) words() []string {
	return written(ServiceModeOn, ServiceModeOff, Calibrated, Adjusted)
}

// The words of [ParkingBrakeState].
const (
	ServiceModeOn  ParkingBrakeState = "service mode on"
	ServiceModeOff ParkingBrakeState = "service mode off"
	Calibrated     ParkingBrakeState = "calibrated"
	Adjusted       ParkingBrakeState = "adjusted" // of a cable or a drum
)

// Tightness is the result of a leak check.
type Tightness = Choice[tightnesses]

type tightnesses struct{}

func (tightnesses) words() []string {
	return written(Dry, Weeping, Leaking)
}

// The words of [Tightness].
const (
	Dry     Tightness = "dry"
	Weeping Tightness = "weeping"
	Leaking Tightness = "leaking"
)

// PedalFeel is how the pedal felt.
type PedalFeel = Choice[pedalFeels]

type pedalFeels struct{}

func (pedalFeels) words() []string {
	return written(PedalFirm, PedalSoft, PedalSinking)
}

// The words of [PedalFeel].
const (
	PedalFirm    PedalFeel = "firm"
	PedalSoft    PedalFeel = "soft"
	PedalSinking PedalFeel = "sinking"
)

// Advice is what a customer is told at handover, whoever it is.
type Advice = Choice[advices]

type advices struct{}

func (advices) words() []string {
	return written(FilmCare, FirstDays, NutsAgain, PadsBedIn, FirstDrop, PedalChange)
}

// The words of [Advice].
const (
	FilmCare    Advice = "care of the film: no acid or alkaline wheel cleaner, no pressure washer close to it"
	FirstDays   Advice = "first days: no wax, no car wash and no road salt on the film"
	NutsAgain   Advice = "have the wheel nuts tightened again after the distance that the sheet says"
	PadsBedIn   Advice = "brake gently until the pads have bedded in"
	FirstDrop   Advice = "stop and call at the first drop of fluid"
	PedalChange Advice = "stop and call if the pedal travels further than today"
)
