package write

import (
	"cmp"
	"slices"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// figures lists the recorded figures: those of the typed joint first, then those of
// the joints that are offered, and of these the vehicle's own before those that
// would be borrowed. Of a wheel they are those of wheels, if the register has any.
func figures(t *task, joint string) []form.Option {
	var here []string
	if f := t.sheet.Field("joint"); f != nil {
		here = f.Usual
	}
	fits := func(s *record.Spec) int {
		is := journal.Called(s.Stated.Joint)
		switch {
		case joint != "" && is == journal.Called(joint):
			return 0
		case slices.ContainsFunc(here, func(name string) bool { return journal.Called(name) == is }):
			return 1
		}
		return 2
	}
	specs := slices.DeleteFunc(slices.Clone(t.snap.Shop.Specs), func(s *record.Spec) bool { return s.Stated == nil })
	ofWheel := func(s *record.Spec) bool { return facts.OfWheel(s.Stated.Joint) }
	if (t.kind == journal.WheelFitted || t.kind == journal.RetorqueDone) && slices.ContainsFunc(specs, ofWheel) {
		specs = slices.DeleteFunc(specs, func(s *record.Spec) bool { return !ofWheel(s) })
	}
	slices.SortStableFunc(specs, func(a, b *record.Spec) int {
		return cmp.Or(cmp.Compare(fits(a), fits(b)), cmp.Compare(t.owner(a.Stated), t.owner(b.Stated)))
	})
	var list []form.Option
	for _, s := range specs {
		o := form.Option{Value: string(s.ID), Say: s.Stated.Joint + " · " + s.Stated.In(t.snap.Shop.Units), Note: words.Commas(string(s.Stated.From), s.Stated.Page)}
		switch t.owner(s.Stated) {
		case facts.OfThis:
			o.Note += "; for this vehicle"
		case facts.OfOthers:
			o.Note += "; borrowed from " + s.Stated.Vehicles()
		}
		list = append(list, o)
	}
	return list
}

// owner tells whose a figure is, seen from the vehicle that is worked on.
func (t *task) owner(spec *journal.TorqueSpec) facts.Owner {
	job := t.snap.Job(t.subject.Job())
	if job == nil || job.Stated == nil {
		return facts.OfNobody
	}
	return facts.OwnerOf(spec, job.Stated.Vehicle)
}

// lendNothing clears a figure that was used on another vehicle last, unless it was
// recorded for this one too: nobody chose it here.
func (t *task) lendNothing() {
	spec, _ := t.snap.Stock().Spec(journal.SpecID(t.start.Get("spec")))
	if spec == nil || t.owner(spec) != facts.OfThis {
		delete(t.start, "spec")
	}
}
