package journal

import (
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Confirmation is by what whoever stamped an entry showed that it was them: something
// that only that person should know. Without one a name was tapped.
type Confirmation = Choice[confirmations]

type confirmations struct{}

func (confirmations) words() []string { return written(ByPIN, ByPassphrase) }

// The words of [Confirmation].
const (
	ByPIN        Confirmation = "PIN"        // typed at the tablet
	ByPassphrase Confirmation = "passphrase" // with which the person had signed in at the desk
)

// Confirming is the payload of a kind for which a route card may demand a confirmation.
// The program that checked it sets it; nobody types it.
type Confirming interface {
	Payload
	Confirm(by Confirmation)
	Confirmed() Confirmation
}

// Confirms is the duty under which a route card names a kind whose stamps it wants
// confirmed; "" for kinds of which none can be.
func (k Kind) Confirms() Duty {
	switch k {
	case SecondChecked:
		return SecondCheckDuty
	case HoldWaived:
		return WaiveDuty
	case VehicleReleased:
		return ReleaseDuty
	}
	return ""
}

// Confirm implements [Confirming].
func (p *SecondCheck) Confirm(by Confirmation) { p.ConfirmedBy = by }

// Confirmed implements [Confirming].
func (p *SecondCheck) Confirmed() Confirmation { return p.ConfirmedBy }

// Confirm implements [Confirming].
func (p *Waiver) Confirm(by Confirmation) { p.ConfirmedBy = by }

// Confirmed implements [Confirming].
func (p *Waiver) Confirmed() Confirmation { return p.ConfirmedBy }

// Confirm implements [Confirming].
func (p *Release) Confirm(by Confirmation) { p.ConfirmedBy = by }

// Confirmed implements [Confirming].
func (p *Release) Confirmed() Confirmation { return p.ConfirmedBy }

// ClaimsConfirmation reports whether data says that it was confirmed, itself or by what a
// correction puts in the place of an entry. Who types data claims that in vain.
func ClaimsConfirmation(p Payload) bool {
	switch is := p.(type) {
	case Confirming:
		return is.Confirmed() != ""
	case *Correction:
		var instead struct {
			Confirmed jsontext.Value `json:"confirmed"`
			Data      jsontext.Value `json:"data"`
		}
		for raw := is.Data; len(raw) > 0; raw = instead.Data { // a correction of a correction
			instead.Confirmed, instead.Data = nil, nil
			if json.Unmarshal(raw, &instead) != nil {
				return false
			}
			if len(instead.Confirmed) > 0 {
				return true
			}
		}
	}
	return false
}

// confirmedWith says by what a stamp was confirmed, "" if by nothing.
func confirmedWith(by Confirmation) string { return words.Fill("confirmed with a %s", by) }
