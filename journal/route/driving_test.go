package route_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
)

// saidOfDriving is what is said, entry by entry, of whether a vehicle may be
// driven, each time that it changes, and before the last entry of each kind.
func saidOfDriving(t *testing.T, s *story, route journal.RouteID) (list []string, before map[journal.Kind]string) {
	t.Helper()
	pinned := supplied(t, route)
	register := &story{tb: t, citing: s.citing}
	register.register()
	register.figures()
	s.steps = append(register.steps, s.steps...)
	log := s.write().log
	before = make(map[journal.Kind]string)
	last, opened := "", false
	for is := range stages(log) {
		if e, err := journal.Decode(log[is.n-1].Bytes); err == nil && opened {
			before[e.Type.Kind] = last
		}
		now := facts.DoNotDrive(held(pinned, is.job, is.shop).Driving())
		if now != last {
			list = append(list, now)
		}
		last, opened = now, true
	}
	return list, before
}

// TestDoNotDrive: from the first part that comes off until the pedal is firm a
// vehicle is not to be driven, and why is said by what stands in the way now.
func TestDoNotDrive(t *testing.T) {
	list, _ := saidOfDriving(t, front().play(t, jobID), "caliper")
	for _, text := range list {
		t.Log(text)
	}
	if len(list) < 5 || list[0] == "" || list[len(list)-1] != "" {
		t.Fatalf("said: %q", list)
	}
	all := strings.Join(list, "\n")
	for _, part := range []string{"LF caliper off", "LF not bled", "RF not bled", "LF banjo bolt not tight", "LF wheel not tight"} {
		if !strings.Contains(all, part) {
			t.Errorf("it is never said that %s:\n%s", part, all)
		}
	}
	if slices.Contains(list[:len(list)-1], "") {
		t.Errorf("between two steps it may be driven:\n%s", all)
	}
}

// What is left out, or comes too late, is said to the end.
func TestDoNotDriveToTheEnd(t *testing.T) {
	for name, c := range map[string]struct {
		does func(*story)
		says string
	}{
		"no pedal":          {func(s *story) { s.drop("pedal") }, "Do not drive: pedal not tried and found firm"},
		"a leak":            {with("leak", func(l *journal.LeakCheck) { l.Result = journal.Leaking }), "Do not drive: not held under pressure and found dry"},
		"220 for 22":        {torqued("LF banjo bolt", func(b *journal.Torque) { b.Torque = nm(220) }), "Do not drive: LF torque of the banjo bolt not proven"},
		"a corner not bled": {func(s *story) { s.drop("LF bleed") }, "Do not drive: LF not bled"},
		"a wheel only snug": {func(s *story) { s.drop("LF full") }, "Do not drive: LF wheel not tight"},
	} {
		t.Run(name, func(t *testing.T) {
			s := front().play(t, jobID)
			c.does(s)
			if list, _ := saidOfDriving(t, s, "caliper"); list[len(list)-1] != c.says {
				t.Errorf("said: %q, want %q", list, c.says)
			}
		})
	}
}

// A right job of any kind may be driven when it goes on the road test, and when
// it is handed back; nothing is said of it before anything came off.
func TestARightJobMayBeDriven(t *testing.T) {
	for _, c := range slices.Concat(honestKinds(), honestUncoated(), honestArms()) {
		t.Run(c.what, func(t *testing.T) {
			p := c.kind()
			s := p.play(t, jobID)
			if c.does != nil {
				c.does(s)
			}
			named := journal.RouteID("caliper")
			if p.route != "" {
				named = p.route
			}
			list, before := saidOfDriving(t, s, named)
			if before[journal.RoadTested] != "" || len(list) > 0 && list[len(list)-1] != "" {
				t.Errorf("before the road test: %q; at the end: %q", before[journal.RoadTested], list)
			}
			if before[journal.VehicleRaised] != "" {
				t.Errorf("before it is raised: %s", before[journal.VehicleRaised])
			}
		})
	}
}
