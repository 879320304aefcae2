package write_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// TestSupposedTogether: what is supposed of several entries is what the record says when
// they are written in one press.
func TestSupposedTogether(t *testing.T) {
	rack := journal.Rack{Parts: []journal.Subject{lfCaliper}}
	at := func(about journal.Subject, data journal.Payload) journal.Draft {
		return journal.Draft{Subject: about, By: "io", Data: data}
	}
	for name, drafts := range map[string][]journal.Draft{
		"a part comes off and is tagged": {at(journal.About(one, "RF", "bracket"), &journal.Removal{}), at(journal.About(one, "RF", "bracket"), &journal.Tagging{Tag: "RF-b", Metal: "iron"})},
		"bled between two looks at the reservoir": {
			at(journal.About(one, "", ""), &journal.Reservoir{Before: q[unit.Ratio]("60 %"), After: q[unit.Ratio]("90 %")}),
			at(lf, &journal.Bleed{Fluid: "bf-1", Drawn: q[unit.Volume]("60 mL"), Bubbles: "none"}),
			at(journal.About(one, "", ""), &journal.Reservoir{Before: q[unit.Ratio]("10 %"), After: q[unit.Ratio]("90 %")}),
		},
		"in the wrong order": {
			at(lf, &journal.Bleed{Fluid: "bf-1", Drawn: q[unit.Volume]("60 mL"), Bubbles: "none"}),
			at(lf, &journal.LineOpening{At: "banjo"}), at(lf, &journal.LineConnection{At: "banjo"}),
		},
		"a tool is used twice, and on two cars": {
			at(lf, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("27 N.m"), Tool: "tw-1", Spec: "banjo"}),
			at(journal.About(two, "RF", ""), &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("72 N.m"), Tool: "tw-1", Spec: "banjo", Count: 2}),
		},
		"a figure is recorded and used": {
			at("spec/pin", &journal.TorqueSpec{Spec: "pin", Joint: "guide pin bolt", Nominal: q[unit.Torque]("30 N.m"), From: "maker's manual"}),
			at(lf, &journal.Torque{Joint: "guide pin bolt", Torque: q[unit.Torque]("30 N.m"), Tool: "tw-1", Spec: "pin"}),
		},
		"washed and blasted in two runs": { // nothing of it hangs on the moments between
			at("run/w9", &journal.Degreasing{Rack: rack, Agent: "hot wash"}),
			at("run/b9", &journal.Blasting{Rack: rack, Media: "glass bead"}),
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newShop(t)
			supposed, ids, err := s.live.SupposeAll(t.Context(), drafts...)
			if err != nil || len(ids) != len(drafts) {
				t.Fatal(ids, err)
			}
			before := s.live.View(t.Context())
			var want []string
			for _, job := range []journal.JobID{one, two} {
				want = append(want, stands(supposed, job)...)
			}
			for _, id := range ids {
				if len(supposed.Line(id)) != 1 || len(before.Line(id)) != 0 {
					t.Fatalf("%s stands %d times where it is supposed, %d times where it is not", id, len(supposed.Line(id)), len(before.Line(id)))
				}
			}
			entries, err := s.f.AppendAll(t.Context(), drafts)
			if err != nil {
				t.Fatal(err)
			}
			now, err := s.live.Await(t.Context(), entries[len(entries)-1].ID)
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, job := range []journal.JobID{one, two} {
				got = append(got, stands(now, job)...)
			}
			if !slices.Equal(got, want) {
				t.Errorf("supposed:\n%s\nwritten:\n%s", strings.Join(want, "\n"), strings.Join(got, "\n"))
			}
		})
	}
}

// stands is how the hold points of a job stand, what comes next, and what its record says.
func stands(s *live.Snapshot, job journal.JobID) (list []string) {
	st := s.Standing(job)
	for v := range st.Each() {
		list = append(list, string(v.Subject)+" "+v.Title+": "+string(v.State)+", "+v.Why)
	}
	for _, todo := range st.Next {
		list = append(list, todo.Say)
	}
	for _, l := range st.Job.Timeline() {
		list = append(list, l.Says())
	}
	return list
}
