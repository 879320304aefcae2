package torque

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// Adapter is an offset end between a tool's drive and the bolt. It lengthens or shortens
// the lever, so that the bolt gets another torque than the tool reads.
type Adapter struct {
	Wrench unit.Length // from the drive to the middle of the grip, where the hand pulls
	Offset unit.Length // from the drive to the bolt
	Angle  float64     // degrees between them: 0 straight on, 90 square, 180 folded back
}

// IsZero reports whether no length was recorded.
func (a Adapter) IsZero() bool { return a.Wrench.IsZero() && a.Offset.IsZero() }

// Factor is what the tool reads for each unit of torque at the bolt: L/(L + E·cos θ)
// with the wrench's length L, the offset E and the angle θ between them, from the
// equal force on both levers. Errors are of type *Error.
func (a Adapter) Factor() (float64, error) {
	wrench, offset := a.Wrench.In(unit.Millimetre), a.Offset.In(unit.Millimetre)
	switch {
	case !(wrench > 0):
		return 0, sheet.Refuse("the wrench’s length", sheet.Typed(a.Wrench), "measure from the drive to the middle of the grip")
	case a.Offset.IsZero():
		return 0, sheet.Refuse("the adapter’s length", sheet.Typed(a.Offset), "measure from the drive to the middle of the bolt")
	case offset >= wrench:
		return 0, sheet.Refuse("the adapter’s length", a.Offset.String(), "it must be shorter than the wrench, "+a.Wrench.String()+": check both lengths and their units")
	case !(math.Abs(a.Angle) <= 180):
		return 0, sheet.Refuse("the adapter’s angle", fmt.Sprintf("%g°", a.Angle), "it must be within 180°: 0 is straight on, 90 square, 180 folded back")
	}
	return wrench / (wrench + offset*math.Cos(a.Angle*math.Pi/180)), nil
}

// Setting returns what the tool must be set to, in N·m, so that the bolt gets the
// torque. Errors are of type *Error.
func (a Adapter) Setting(bolt unit.Torque) (newtonMetres float64, err error) {
	factor, err := a.Factor()
	if err == nil && bolt.IsZero() {
		err = sheet.Refuse("the torque at the bolt", sheet.Typed(bolt), "write the figure that is specified")
	}
	if err != nil {
		return 0, err
	}
	return bolt.In(unit.NewtonMetre) * factor, nil
}

// AtBolt returns what the bolt gets, in N·m, when the tool reads the torque. Errors are
// of type *Error.
func (a Adapter) AtBolt(reading unit.Torque) (newtonMetres float64, err error) {
	factor, err := a.Factor()
	if err == nil && reading.IsZero() {
		err = sheet.Refuse("the reading", sheet.Typed(reading), "write what the tool was set to or read")
	}
	if err != nil {
		return 0, err
	}
	return reading.In(unit.NewtonMetre) / factor, nil
}
