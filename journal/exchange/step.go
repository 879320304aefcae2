package exchange

import (
	"slices"

	"fettlebook/journal"
)

// parts returns the parts that an entry is about: that of its subject, those
// that it names, or those of its run.
func (e *epcis) parts(l *line, data journal.Payload) []journal.Subject {
	parts := e.hung(data)
	if l.Subject.Part() != "" && !slices.Contains(parts, l.Subject) {
		parts = append([]journal.Subject{l.Subject}, parts...)
	}
	if len(parts) > 0 || l.Subject.Run() == "" {
		return parts
	}
	for _, st := range e.Jobs { // such as the end of a bake, which names none
		run := st.Stock.Shop().Run(l.Subject.Run())
		if run == nil {
			continue
		}
		for _, s := range run.Parts {
			if e.mine(s) && !slices.Contains(parts, s) {
				parts = append(parts, s)
			}
		}
	}
	return parts
}

// things names what an entry is about.
func (e *epcis) things(l *line, data journal.Payload) []string {
	names := []string{}
	for _, s := range e.parts(l, data) {
		names = append(names, e.urn(s))
	}
	switch {
	case len(names) > 0 || l.Subject == "":
	case l.Subject.Corner() != "":
		names = append(names, e.vehicleOf(l), e.urn(l.Subject))
	case l.Subject.Job() != "":
		names = append(names, e.vehicleOf(l))
	default:
		names = append(names, e.urn(l.Subject))
	}
	return names
}

// vehicleOf names the vehicle that an entry is about.
func (e *epcis) vehicleOf(l *line) string {
	for _, st := range e.Jobs {
		if st.Job.ID == l.Subject.Job() {
			return e.vehicle(st.Job)
		}
	}
	return e.urn(l.Subject)
}

// shape gives an event its type with the things that it is about, its step and
// what was measured.
func (e *epcis) shape(v *event, l *line, data journal.Payload) {
	things := e.things(l, data)
	object := func(action, step string) {
		v.Type, v.Action, v.Step, v.Things = "ObjectEvent", action, step, &things
	}
	aggregate := func(action, parent, step string) {
		v.Type, v.Action, v.Step, v.Parent, v.Children = "AggregationEvent", action, step, parent, things
	}
	v.Jobs, v.Sensors = e.jobs(l, data), e.measured(l, data)
	parts := len(e.parts(l, data)) > 0
	switch l.Kind {
	case journal.PartRemoved:
		aggregate("DELETE", e.vehicleOf(l), "removing")
	case journal.PartRefitted:
		aggregate("ADD", e.vehicleOf(l), "installing")
	case journal.PartTagged:
		object("ADD", "commissioning")
	case journal.PowderApplied:
		coat, ok := data.(*journal.Coating)
		if !ok || !parts {
			object("OBSERVE", terms+string(l.Kind))
			return
		}
		v.Type, v.Step, v.Outputs = "TransformationEvent", terms+string(l.Kind), things
		v.Inputs = append(slices.Clone(things), e.urn(journal.Of("lot", string(coat.Lot))))
	case journal.BakeStarted, journal.CureCompleted:
		action, step := "ADD", "loading"
		if l.Kind == journal.CureCompleted {
			action, step = "DELETE", "unloading"
		}
		if run := l.Subject.Run(); parts && run != "" {
			aggregate(action, e.urn(l.Subject), step)
			return
		}
		object("OBSERVE", step)
	case journal.DefectFound:
		object("OBSERVE", "inspecting")
		v.Disposition = "non_conformant"
	default:
		object("OBSERVE", step(l.Kind))
	}
}

// step returns the business step of a kind: the vocabulary's own where one
// fits.
func step(k journal.Kind) string {
	switch k {
	case journal.JobOpened:
		return "accepting"
	case journal.VehicleReceived:
		return "receiving"
	case journal.HardwareBagged:
		return "packing"
	case journal.PartStripped:
		return "disassembling"
	case journal.ProbeLogged:
		return "sensor_reporting"
	case journal.PartRebuilt:
		return "assembling"
	case journal.WasherReplaced:
		return "replacing"
	case journal.FilmMeasured, journal.AdhesionTested, journal.SolventRubbed, journal.SeatProved, journal.ConditionFound,
		journal.LeakChecked, journal.PedalChecked, journal.RoadTested, journal.SecondChecked, journal.ParkbrakeTried:
		return "inspecting"
	case journal.VehicleReleased:
		return "departing"
	}
	return terms + string(k)
}
