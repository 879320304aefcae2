package shop_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// An investigation knows what it rests on, what it goes on with, and what later
// entries say of it; one that was struck out says nothing more.
func TestInvestigation(t *testing.T) {
	s := newSingle(t)
	look := func(about journal.Subject, i journal.Investigation) journal.EntryID {
		t.Helper()
		i.LookedAt, i.Found, i.Concluded, i.Sure = []string{"the parts table"}, "cool soaks", "gas", journal.Probable
		return s.write("hub", about, &i)
	}
	first := look("lot/pw-1", journal.Investigation{Matter: "pinholes", Defect: journal.Pinhole, Filter: []string{"powder_lot=pw-1"}, Counted: []journal.Count{{Defects: 3, Parts: 12}}, Rests: []journal.EntryID{s.road}})
	next := look("shop/k7m2q4xw", journal.Investigation{Matter: "pinholes again", Of: first})
	card := s.write("hub", "route/caliper", &journal.RouteCard{Route: "caliper", Edition: 2, Text: "name: caliper", Because: first})
	slip := look(lonely, journal.Investigation{Matter: "a slip", Rests: []journal.EntryID{first}})
	s.write("hub", lonely, &journal.Correction{Of: slip, Reason: "another entry"})
	s.stands()
	v := s.View(t.Context())
	is := v.Investigation(first)
	if is == nil || is.Before != nil || !slices.Equal(ids(is.Rests), []journal.EntryID{s.road}) || !slices.Equal(ids(is.Later), []journal.EntryID{next, card}) {
		t.Fatalf("the first is %+v", is)
	}
	if q, asked, err := is.Question(); err != nil || !asked || q.Defect != "pinhole" || len(q.Filter) != 1 {
		t.Errorf("it asked %+v %v %v", q, asked, err)
	}
	if list := is.Tallies(); len(list) != 1 || list[0].Sample.Parts != 12 {
		t.Errorf("it counted %+v", list)
	}
	if on := v.Investigation(next); on == nil || on.Before == nil || on.Before.ID != first {
		t.Errorf("what goes on is %+v", on)
	}
	if v.Investigation(card) != nil || v.Investigation(journal.EntryID{}) != nil {
		t.Error("a card is an investigation")
	}
	if list := ids(v.Investigations()); !slices.Equal(list, []journal.EntryID{slip, next, first}) {
		t.Errorf("all are %v", list)
	}

	s.write("hub", "lot/pw-1", &journal.Correction{Of: first, Reason: "another lot"})
	s.stands()
	v = s.View(t.Context())
	struck := v.Investigation(first)
	if struck == nil || struck.Investigation != nil || struck.Line.Struck == nil || len(struck.Tallies()) > 0 {
		t.Fatalf("struck out it is %+v", struck)
	}
	if _, asked, err := struck.Question(); asked || err != nil {
		t.Error("what is struck out asks")
	}
}

func ids(lines []*record.Line) (list []journal.EntryID) {
	for _, l := range lines {
		list = append(list, l.ID)
	}
	return list
}

// What was asked is read out of the data: a condition on the defect itself names
// it and leaves the others something to be compared with.
func TestQuestionOfAnInvestigation(t *testing.T) {
	for _, c := range []struct {
		defect journal.Look
		filter []string
		want   string // the defect
		left   int    // conditions
		wrong  bool
	}{
		{"pinhole", nil, "pinhole", 0, false},
		{"", []string{"defect_pinhole=yes", "metal=iron"}, "pinhole", 1, false},
		{"pinhole", []string{"defect_pinhole=yes"}, "pinhole", 0, false},
		{"crater", []string{"defect_pinhole=yes"}, "crater", 1, false},
		{"", []string{"defect_pinhole=no"}, "", 1, false},
		{"", []string{"metal=iron"}, "", 1, false},
		{"", nil, "", 0, false},
		{"pinhole", []string{"wheel=4"}, "", 0, true},
	} {
		s := newSingle(t)
		id := s.write("hub", lonely, &journal.Investigation{Matter: "m", LookedAt: []string{"it"}, Found: "f", Concluded: "c", Sure: journal.Possible, Defect: c.defect, Filter: c.filter})
		s.stands()
		q, asked, err := s.View(t.Context()).Investigation(id).Question()
		if (err != nil) != c.wrong || asked != (c.want != "") || !c.wrong && (q.Defect != c.want || len(q.Filter) != c.left) {
			t.Errorf("%q %v asks %+v, %v, %v", c.defect, c.filter, q, asked, err)
		}
	}
}
