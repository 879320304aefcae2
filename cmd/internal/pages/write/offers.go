package write

import (
	"maps"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
)

// offers gives the form the words of this job to tap, where the usual ones are of
// other parts: an arm has no banjo bolt, and a fixed caliper no guide pins.
func (t *task) offers(s *live.Snapshot) {
	st := s.Standing(t.subject.Job())
	if st == nil || st.Card == nil {
		return
	}
	switch t.kind {
	case journal.PartDescribed:
		t.offerPresets()
	case journal.TorqueApplied:
		t.sheet = t.sheet.Offering("joint", t.joints(s, st.Card)...)
	case journal.LineConnected:
		t.sheet = t.sheet.Offering("at", t.opened(s)...)
	case journal.SecondChecked:
		t.sheet = t.sheet.Offering("tried", t.tightened(s)...)
	}
}

// offerPresets offers what the presets name.
func (t *task) offerPresets() {
	names := make(map[string][]string)
	add := func(field, what string) {
		if !slices.Contains(names[field], what) {
			names[field] = append(names[field], what)
		}
	}
	for _, p := range t.presets {
		for field, list := range map[string][]card.Counted{"bores": p.Bores, "threads": p.Threads, "seats": p.Seats, "lands": p.Lands, "rubber": p.Rubber} {
			for _, c := range list {
				add(field, c.What)
			}
		}
		for _, j := range p.Joints {
			add("joints", j.Joint)
		}
	}
	for field, list := range names {
		t.sheet = t.sheet.Offering(field, list...)
	}
}

// joints are those of the corner: what its parts were stated to have, and else
// what the card has for them and beside them.
func (t *task) joints(s *live.Snapshot, by *card.Card) (list []string) {
	stated := make(map[string]bool) // parts, and joints of the card
	var parts []string
	for _, p := range partsOf(s, t.subject) {
		base := card.Base(p.ID)
		parts = append(parts, base)
		if has := facts.MakeUp(p); has != nil {
			stated[base] = true
			for _, j := range has.Joints {
				if !slices.Contains(list, j.Joint) {
					list = append(list, j.Joint)
				}
				stated[by.Joint(j.Joint)] = true
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(by.Joints)) {
		is := by.Joints[name]
		beside := slices.ContainsFunc(is.Beside, func(p string) bool { return slices.Contains(parts, p) })
		if !stated[name] && !stated[is.Of] && (beside || slices.Contains(parts, is.Of)) {
			list = append(list, is.Names[0])
		}
	}
	return list
}

// opened are the places at which lines of the corner were opened: one that is closed
// by another name stays open.
func (t *task) opened(s *live.Snapshot) (list []string) {
	for _, l := range s.Job(t.subject.Job()).Timeline() {
		if d, ok := l.Effect().(*journal.LineOpening); ok && l.Subject == t.subject && !slices.Contains(list, d.At) {
			list = append(list, d.At)
		}
	}
	return list
}

// tightened are the joints that were tightened in the job, and the wheel nuts: what
// is tried by hand when somebody looks again.
func (t *task) tightened(s *live.Snapshot) (list []string) {
	add := func(what string) {
		if !slices.Contains(list, what) {
			list = append(list, what)
		}
	}
	wheel, bled := false, false
	for _, l := range s.Job(t.subject.Job()).Timeline() {
		switch d := l.Effect().(type) {
		case *journal.Torque:
			add(d.Joint)
		case *journal.Bleed:
			bled = true
		case *journal.WheelFit:
			wheel = true
		}
	}
	if bled {
		add("bleeder screws")
	}
	if wheel {
		add(wheelNuts)
	}
	return list
}
