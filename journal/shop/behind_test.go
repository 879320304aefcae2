package shop_test

import (
	"testing"

	"fettlebook/journal"
)

// An edition of a route card says which investigation it came out of, while that
// one counts.
func TestBehindACard(t *testing.T) {
	s := newSingle(t)
	card := journal.Subject("route/caliper")
	looked := s.write("hub", card, &journal.Investigation{Matter: "pinholes", LookedAt: []string{"the parts table"}, Found: "cool soaks", Concluded: "gas", Sure: journal.Probable})
	s.write("hub", card, &journal.RouteCard{Route: "caliper", Edition: 2, Text: "name: caliper", Because: looked})
	s.write("hub", card, &journal.RouteCard{Route: "caliper", Edition: 3, Text: "name: caliper", Because: s.road})
	s.stands()
	v := s.View(t.Context())
	if r := v.Behind("caliper 2"); r == nil || r.Entry != looked.String() || r.Says != "pinholes" {
		t.Errorf("behind edition 2 is %+v", r)
	}
	for _, none := range []string{"caliper 1", "caliper 3", "arm 2", ""} {
		if r := v.Behind(none); r != nil {
			t.Errorf("behind %q is %+v", none, r)
		}
	}
	s.write("hub", card, &journal.Correction{Of: looked, Reason: "another card"})
	s.stands()
	if r := s.View(t.Context()).Behind("caliper 2"); r != nil {
		t.Errorf("what is struck out is still behind edition 2: %+v", r)
	}
}
