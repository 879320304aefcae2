package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

type (
	// Service is the data of equipment.serviced: what was done to a machine of
	// the shop that parts go through, or whose air they are sprayed with. That
	// a recorder, a probe or a gauge was calibrated is tool.checked.
	Service struct {
		Tool ToolID      `json:"tool"`
		Done ServiceKind `json:"done"`
		On   Date        `json:"on,omitzero"`  // if not on the day of the entry
		Due  Date        `json:"due,omitzero"` // when it is to be done again

		// Of a survey of an oven: what it was set to, whether it was loaded as
		// usual, and what probes read at its places.
		Set    unit.Temperature `json:"set,omitzero" span:"oven"`
		Loaded bool             `json:"loaded,omitzero"`
		Places []SurveyedPlace  `json:"places,omitempty"`

		Media string `json:"media,omitzero"` // that a blast cabinet was filled with
		Evidence
	}

	// SurveyedPlace is a place in an oven and how hot it got.
	SurveyedPlace struct {
		Place string           `json:"place"`
		Reads unit.Temperature `json:"reads" span:"metal"`
	}
)

// Kind returns equipment.serviced.
func (*Service) Kind() Kind { return EquipmentServiced }

// Say reads "oven-1: oven surveyed; set to 200 °C, loaded; door 194 °C, …".
func (p *Service) Say() string {
	var places []string
	for _, s := range p.Places {
		places = append(places, fmt.Sprintf("%s %s", s.Place, s.Reads))
	}
	return words.Clauses(fmt.Sprintf("%s: %s", p.Tool, p.Done)+words.Fill(" on %s", p.On.Said(p.writing)), words.Given("set to %s", p.Set), words.If(p.Done == OvenSurveyed, words.Choose(p.Loaded, "loaded as usual", "empty")),
		words.Commas(places...), words.Fill("filled with %s", p.Media), words.Fill("due again on %s", p.Due.Said(p.writing)))
}

func (p *Service) check(found *problems) {
	switch {
	case p.Done == OvenSurveyed && len(p.Places) < 2:
		found.add("places", Clash, "a survey of an oven has readings at two or more places")
	case p.Done == OvenSurveyed && p.Set.IsZero():
		found.missing("set")
	case p.Done == MediaChanged && p.Media == "":
		found.missing("media")
	}
}

// ServiceKind is what was done to a machine.
type ServiceKind = Choice[serviceKinds]

type serviceKinds struct{}

func (serviceKinds) words() []string {
	return written(OvenSurveyed, OvenRepaired, DryerServiced, FilterChanged, MediaChanged, BoothServiced, OtherService)
}

// The words of [ServiceKind].
const (
	OvenSurveyed  ServiceKind = "oven surveyed"
	OvenRepaired  ServiceKind = "oven repaired"
	DryerServiced ServiceKind = "dryer serviced"
	FilterChanged ServiceKind = "filter changed"
	MediaChanged  ServiceKind = "blast media changed"
	BoothServiced ServiceKind = "booth serviced"
	OtherService  ServiceKind = "other service"
)
