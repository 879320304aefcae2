package route_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
)

// For every preset with a brake line: what the line, its bleeder screw and the
// parking brake ask for is left out, done trivially wrong, at another corner or
// at another time, and the hold is not met.
func TestLinesThatPartsHave(t *testing.T) {
	f := newFloor(t)
	for i, p := range supplied(t, "caliper").Presets {
		if p.Line == "" {
			continue
		}
		kind := func() plan {
			job := plan{fits: []fit{{"LR", "caliper", p.Name}}, bled: []journal.Corner{"LR"}, manual: usualManual(), raised: onStands()}
			job.manual.Parking = p.MakeUp().Parking
			return job
		}
		faults := lineFaults(p.MakeUp())
		if p.Parking == journal.ElectricParking || p.Parking == journal.CableParking {
			faults = append(faults, parkingFaults(p.Parking)...)
		}
		t.Run(p.Name, func(t *testing.T) {
			f.tb = t
			f.right(f.played(kind(), journal.JobID("line"+string(rune('a'+i))), nil))
			for j, c := range journaltest.Rows(t, 8, faults) {
				s, h := f.played(kind(), journal.JobID(fmt.Sprintf("line%c%02d", 'a'+i, j)), c.does)
				if v := h.of(c.hold, s.named(c.at)); v.State == route.Met || v.State == "" || h.refused == nil && v.Class == "safety" {
					t.Errorf("%s: %s is %q: %s", c.what, c.hold, v.State, v.Why)
				}
			}
		})
	}
}

// played writes a plan with a change and hands its vehicle back.
func (f *floor) played(p plan, id journal.JobID, does func(*story)) (*story, handedBack) {
	s := p.play(f.tb, id)
	if does != nil {
		does(s)
	}
	return s, f.handBack(s)
}

// elsewhereAt has a step done at another corner.
func elsewhereAt(name string) func(*story) {
	return func(s *story) {
		st := &s.steps[s.index(name)]
		st.about = journal.About(s.job, "LF", st.about.Part())
	}
}

func lineFaults(is *journal.MakeUp) []jobCase {
	bolt := "LR banjo bolt"
	list := []jobCase{
		{"the line left open", nil, without("LR connected"), "line-closed", "LR", ""},
		{"the line closed at another corner", nil, elsewhereAt("LR connected"), "line-closed", "LR", ""},
		{"the line closed before it was opened", nil, moved("LR connected", "LR bag"), "line-closed", "LR", ""},
		{"no washers", nil, without("LR washers"), "washers", "LR", ""},
		{"one washer less", nil, with("LR washers", func(w *journal.Washers) { w.Count-- }), "washers", "LR", ""},
		{"washers of another joint", nil, with("LR washers", func(w *journal.Washers) { w.Joint = "hanging bolt" }), "washers", "LR", ""},
		{"washers of another corner", nil, elsewhereAt("LR washers"), "washers", "LR", ""},
		{"washers before the line was opened", nil, moved("LR washers", "LR bag"), "washers", "LR", ""},
		{"its bolt not tightened", nil, without(bolt), "banjo-torque", "LR", ""},
		{"another bolt tightened", nil, torqued(bolt, func(t *journal.Torque) { t.Joint = "hanging bolt" }), "banjo-torque", "LR", ""},
		{"its bolt tightened at another corner", nil, elsewhereAt(bolt), "banjo-torque", "LR", ""},
		{"its bolt tightened before the line was opened", nil, moved(bolt, "LR bag"), "banjo-torque", "LR", ""},
		{"not bled", nil, without("LR bleed"), "bled", "LR", ""},
		{"another corner bled", nil, elsewhereAt("LR bleed"), "bled", "LR", ""},
		{"bled before the line was opened", nil, moved("LR bleed", "LR bag"), "bled", "LR", ""},
	}
	if is.Bleeders > 1 {
		list = append(list,
			jobCase{"one bleeder screw less", nil, with("LR bleed", func(b *journal.Bleed) { b.Screws-- }), "bled", "LR", ""},
			jobCase{"nobody wrote how many bleeder screws", nil, with("LR bleed", func(b *journal.Bleed) { b.Screws = 0 }), "bled", "LR", ""},
		)
	}
	if is.Bleeders > 0 {
		for _, where := range []journal.BleederAt{journal.BleederDown, journal.NoBleeder, ""} {
			list = append(list, jobCase{"the bleeder screw not at the top", nil, with("LR refitted caliper", func(r *journal.Refitting) { r.Bleeder = where }), "bleeder-up", "LR caliper", ""})
		}
	}
	return list
}

func parkingFaults(kind journal.ParkingKind) []jobCase {
	list := []jobCase{
		{"not tried", nil, without("parking tried"), "parking-brake-held", "vehicle", ""},
		{"tried before it was back", nil, moved("parking tried", "LR bag"), "parking-brake-held", "vehicle", ""},
		{"tried, and it does not hold", nil, with("parking tried", func(p *journal.ParkingTrial) { p.Holds = false }), "parking-brake-held", "vehicle", ""},
		{"not set", nil, without("parking set"), "parking-brake-set", "vehicle", ""},
		{"set before it was back", nil, moved("parking set", "LR bag"), "parking-brake-set", "vehicle", ""},
	}
	if kind == journal.ElectricParking {
		list = append(list,
			jobCase{"no service mode", nil, without("service on"), "parking-brake", "vehicle", ""},
			jobCase{"service mode after it came off", nil, moved("service on", "LR bag"), "parking-brake", "vehicle", ""},
			jobCase{"service mode not left", nil, without("service off"), "parking-brake", "vehicle", ""},
			jobCase{"service mode left before it was back", nil, moved("service off", "LR bag"), "parking-brake", "vehicle", ""},
		)
	}
	return list
}
