package main

import (
	"fmt"
	"slices"

	"fettlebook/journal"
)

// doubts says which names of an entry the shop's register does not know: a
// slip of the finger, or something that is still to be entered at the hub; and
// what an entry lacks of which it is later said that nothing is proven.
func (c *entryWriter) doubts(e *ready) []string {
	named := journal.Cites(e.Data)
	if e.Data.Kind() != journal.PersonAdded {
		named = append([]journal.Subject{journal.Of("person", string(e.By))}, named...)
	}
	var list []string
	for _, thing := range named {
		known := c.shelf.view.Shop.Stated(thing.Word())
		switch {
		case thing == e.Subject || slices.Contains(known, thing):
		case len(known) > 0:
			list = append(list, fmt.Sprintf("no %s %s is in the shop’s register", thing.Word(), thing.Last()))
		case slices.Contains(shelved(), thing.Word()):
			list = append(list, fmt.Sprintf("the shop’s register has no %s yet, and what is not on it proves nothing; %s is added at the hub", thing.Word(), thing.Last()))
		}
	}
	return append(list, lacking(e.Data)...)
}

// shelved are the words of things that prove something only if the register has them.
func shelved() []string { return []string{"tool", "lot", "fluid", "kit", "spec"} }

// lacking says what is missing of an entry, without which it proves less than whoever writes
// it may think.
func lacking(data journal.Payload) []string {
	switch d := data.(type) {
	case *journal.TorqueSpec:
		if !d.Nominal.IsZero() && d.Low.IsZero() && d.High.IsZero() && d.Tolerance.IsZero() && d.General.IsZero() && d.Angle == 0 {
			return []string{fmt.Sprintf("the figure %s has a nominal value and no limits, so a torque by it can only be said to be set as printed; give low and high, or tolerance, if the manual prints them", d.Spec)}
		}
	case *journal.BakeStart:
		if !slices.ContainsFunc(d.Probes, func(p journal.Probe) bool { return p.On != "" }) {
			return []string{"no probe of this bake is on a part, so nothing will show that the metal was hot enough for long enough; say of the probe that touches one on which part it is"}
		}
	}
	return nil
}
