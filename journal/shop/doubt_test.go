package shop_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
)

// The office writes down how a car came in while a bench takes a part off, and
// neither knows of the other: the record cannot say that the list was agreed
// before the work began. Whoever did one of the two says which was first, and
// that settles it.
func TestAShopKnowsWhatIsInDoubt(t *testing.T) {
	w := newSeers(t)
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	stands := func() (*shop.Standing, route.Verdict) {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		st := s.View(t.Context()).Standing("j0b00001")
		i := slices.IndexFunc(st.Verdicts.List, func(v route.Verdict) bool { return v.Hold == "agreed" })
		return st, st.Verdicts.List[i]
	}
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	job := journal.About("j0b00001", "", "")
	w.write("hub", "route/caliper", "io", &journal.RouteCard{Route: "caliper", Edition: 1, Text: text})
	opened := w.write("hub", job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1", Looks: "grey"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	for _, d := range few.devices[1:] {
		w.seen.meet(d, "hub")
	}
	arrived := w.write("bench-1", job, "io", &journal.Arrival{Agreed: true})
	removed := w.write("bench-2", journal.About("j0b00001", "LF", "caliper"), "mk", &journal.Removal{})

	st, v := stands()
	if v.State != route.InDoubt || !slices.Equal(v.Doubtful, []journal.EntryID{arrived, removed}) {
		t.Fatalf("stands %s: %s %v", v.State, v.Why, v.Doubtful)
	}
	square := st.Rows[slices.IndexFunc(st.Rows, func(r route.Row) bool { return r.Stage.Name == v.Stage })].Squares[0]
	if square.State != route.InDoubt {
		t.Errorf("its square stands %q", square.State)
	}
	if !slices.ContainsFunc(st.Next, func(n route.Todo) bool { return n.Hold == v.Hold && n.Task == route.PutRight }) {
		t.Error("nothing says that it is to be put right")
	}

	for by, says := range map[journal.PersonID]string{"io": "", "mk": "", "jr": "did one of the two"} {
		err := s.MayAppend(t.Context(), journal.Draft{Subject: job, By: by, Data: &journal.OrderStatement{First: arrived, Then: removed, How: "the car was still on its wheels"}})
		if (err == nil) != (says == "") || err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("%s may say so: %v", by, err)
		}
	}
	elsewhere := journal.Draft{Subject: journal.About("j0b00002", "", ""), By: "io", Data: &journal.OrderStatement{First: arrived, Then: removed, How: "it was so"}}
	if err := s.MayAppend(t.Context(), elsewhere); err == nil {
		t.Error("the order of two entries may be stated on a job that they are not in")
	}
	known := journal.Draft{Subject: job, By: "io", Data: &journal.OrderStatement{First: opened, Then: arrived, How: "it was so"}}
	if err := s.MayAppend(t.Context(), known); err == nil {
		t.Error("an order may be stated that is known")
	}

	w.seen.meet("bench-1", "bench-2")
	w.write("bench-1", job, "jr", &journal.OrderStatement{First: arrived, Then: removed, How: "somebody told me"})
	if _, v := stands(); v.State != route.InDoubt {
		t.Errorf("said by somebody who did neither, it stands %s", v.State)
	}
	w.write("bench-1", job, "io", &journal.OrderStatement{First: removed, Then: arrived, How: "the wheel was off when I came"})
	if _, v := stands(); v.State != route.Broken {
		t.Errorf("the part came off first, and it stands %s: %s", v.State, v.Why)
	}
	slip := w.write("bench-1", job, "io", &journal.OrderStatement{First: arrived, Then: removed, How: "the car was still on its wheels"})
	if _, v := stands(); v.State != route.Met {
		t.Errorf("the list was first, and it stands %s: %s", v.State, v.Why)
	}
	w.write("bench-1", job, "io", &journal.Correction{Of: slip, Reason: "it was another car"})
	if _, v := stands(); v.State != route.Broken {
		t.Errorf("the last word was struck out, and it stands %s: %s", v.State, v.Why)
	}

	// What is gathered for a job since it is of the same vehicle is not its own.
	opening := &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1", Looks: "grey"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1}
	one := w.write("bench-1", journal.About("j0b00002", "", ""), "io", opening)
	other := w.write("bench-2", journal.About("j0b00003", "", ""), "mk", opening)
	again := journal.Draft{Subject: journal.About("j0b00002", "", ""), By: "io", Data: &journal.OrderStatement{First: one, Then: other, How: "it was so"}}
	if err := s.MayAppend(t.Context(), again); err == nil || !strings.Contains(err.Error(), "not in the record of this job") {
		t.Errorf("the order of another job's entry may be stated: %v", err)
	}
}
