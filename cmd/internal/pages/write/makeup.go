package write

import (
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// begin gives the form of what a part has the presets of the job's card.
func (t *task) begin(s *live.Snapshot) {
	if st := s.Standing(t.subject.Job()); t.kind == journal.PartDescribed && st != nil && st.Card != nil {
		t.presets = st.Card.PresetsOf(t.subject.Part())
		t.brakeless()
	}
}

// brakeless puts what only brakes have aside, and answers it, where no preset for
// such a part has any of it: nobody counts the bleeder screws of an arm.
func (t *task) brakeless() {
	if len(t.presets) == 0 || slices.ContainsFunc(t.presets, func(p card.Preset) bool {
		m := p.MakeUp()
		return m.Bleeders > 0 || m.Line != journal.NoLine || m.Parking != journal.NoParkingBrake
	}) {
		return
	}
	t.sheet = t.sheet.Aside("bleeders", "line", "parking_brake")
	if len(t.start) == 0 {
		t.start = form.Values{"bleeders": {"0"}, "line": {string(journal.NoLine)}, "parking_brake": {string(journal.NoParkingBrake)}}
	}
}

// preset fills the form with a preset, to be corrected by hand.
func (t *task) preset(v form.Values, name string) form.Values {
	is, err := t.presets.Begin(name)
	if err != nil {
		return v
	}
	raw, err := journal.MarshalPayload(is)
	if err != nil {
		return v
	}
	filled := t.sheet.Values(raw)
	if note, ok := v[noteName]; ok {
		filled[noteName] = note
	}
	return filled
}

// named lays out for a form what the part has: a row for each name, whose
// number is counted at the bench, and the numbers in the help above.
func (t *task) named(s *live.Snapshot) {
	var has *journal.MakeUp
	for _, p := range partsOf(s, t.subject) {
		if p.Subject == t.subject {
			has = facts.MakeUp(p)
		}
	}
	if has == nil {
		return
	}
	if t.kind == journal.PartRefitted && has.Bleeders == 0 {
		t.sheet = t.sheet.Without("bleeder")
	}
	for _, of := range []struct {
		kind  journal.Kind
		field string
		items []journal.Item
	}{
		{journal.BoreMasked, "features", has.Covered()},
		{journal.BoreUnmasked, "features", has.Plugged()},
		{journal.SeatProved, "shown", has.Bare()},
		{journal.PartStripped, "out", has.Rubber},
		{journal.PartRebuilt, "new_parts", has.Rubber},
	} {
		if of.kind != t.kind || len(of.items) == 0 {
			continue
		}
		t.sheet = t.sheet.Named(of.field, "The part has "+words.And(said(of.items)...)+".")
		if t.start == nil {
			t.start = form.Values{}
		}
		t.names = map[string][]journal.Item{of.field: of.items}
		for i, item := range of.items {
			t.start[fmt.Sprintf("%s.%d.what", of.field, i)] = []string{item.What}
		}
	}
}

func said(items []journal.Item) []string {
	var list []string
	for _, i := range items {
		list = append(list, words.Count(i.Count, i.What))
	}
	return list
}
