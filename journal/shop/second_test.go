package shop_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
)

// single is a shop of one person with a bench and an office, and a job in it
// of which the road test is done.
type single struct {
	*shop.Shop
	*writers
	road journal.EntryID
	by   journal.PersonID // who writes
}

const lonely = journal.Subject("job/j0b00001")

func newSingle(t *testing.T) *single {
	s := &single{writers: newSeers(t), by: "io"}
	in, idx := open(t, s.logs, t.TempDir())
	t.Cleanup(func() { _ = idx.Close() })
	s.Shop = in
	text, err := card.Supplied("caliper")
	if err != nil {
		t.Fatal(err)
	}
	s.write("hub", "person/io", &journal.Person{Person: "io", Initials: "IO"})
	s.write("hub", "route/caliper", &journal.RouteCard{Route: "caliper", Edition: 1, Text: text})
	s.write("hub", lonely, &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	s.seen.meet("bench-1", "hub")
	s.write("bench-1", lonely+"/corner/LF", &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: "tw-1"})
	s.road = s.write("bench-1", lonely, &journal.RoadTest{Distance: quantity[unitDistance]("5 km"), Result: "straight"})
	s.watch.Advance(time.Hour)
	return s
}

func (s *single) write(on journal.DeviceID, about journal.Subject, data journal.Payload) journal.EntryID {
	s.Helper()
	return s.writers.write(on, about, s.by, data)
}

// again looks at the road test again.
func (s *single) again(picture string) *journal.SecondCheck {
	return &journal.SecondCheck{Of: s.road, Finds: journal.FoundRight, Tried: []string{"banjo bolt"}, Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture(picture)}}}
}

func (s *single) stands() route.Verdict {
	s.Helper()
	if err := s.Follow(s.Context()); err != nil {
		s.Fatal(err)
	}
	v := s.View(s.Context())
	st := v.Standing(lonely.Job())
	if v.Err() != nil || st == nil {
		s.Fatal(v.Err())
	}
	return st.Verdicts.List[slices.IndexFunc(st.Verdicts.List, func(v route.Verdict) bool { return v.Hold == "second-person" })]
}

// Nobody else may have been on the register when the one person looked again:
// where the hub put one on it and the bench had not heard, that is in doubt.
func TestAShopOfOneMayBeOfTwo(t *testing.T) {
	come := &journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{journal.SecondCheckDuty}}
	for _, trial := range []struct {
		what string
		does func(*single)
		want route.State
	}{
		{"nobody came", func(s *single) { s.write("bench-1", lonely, s.again("again")) }, route.Met},
		{"somebody came, of whom the bench had heard", func(s *single) {
			s.write("hub", "person/mk", come)
			s.seen.meet("bench-1", "hub")
			s.write("bench-1", lonely, s.again("again"))
		}, route.Broken},
		{"somebody came, of whom the bench had not heard", func(s *single) {
			s.write("hub", "person/mk", come)
			s.write("bench-1", lonely, s.again("again"))
		}, route.InDoubt},
		{"somebody came later, and the hub had not heard of the look", func(s *single) {
			s.write("bench-1", lonely, s.again("again"))
			s.write("hub", "person/mk", come)
		}, route.InDoubt},
		{"somebody came later, when the hub had heard of the look", func(s *single) {
			s.write("bench-1", lonely, s.again("again"))
			s.seen.meet("hub", "bench-1")
			s.write("hub", "person/mk", come)
		}, route.Met},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := newSingle(t)
			_ = s.stands() // what was asked before must not stay
			trial.does(s)
			if v := s.stands(); v.State != trial.want {
				t.Errorf("stands %s: %s", v.State, v.Why)
			}
		})
	}
}

// A photograph that another job has is not one of the look's own, whichever
// was asked first.
func TestOwnPhotographInAllTheShop(t *testing.T) {
	s := newSingle(t)
	s.write("bench-1", "job/j0b00002", &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture("elsewhere")}}})
	s.write("bench-1", lonely, s.again("elsewhere"))
	if v := s.stands(); v.State == route.Met || !strings.Contains(v.Why, "without a photograph that no other entry has") {
		t.Errorf("stands %s: %s", v.State, v.Why)
	}
	s.write("bench-1", lonely, s.again("its own"))
	if v := s.stands(); v.State != route.Met {
		t.Errorf("stands %s: %s", v.State, v.Why)
	}
}

// Who looked at what is not work on the brakes is told so before it is written.
func TestALookAtSomethingElseIsRefused(t *testing.T) {
	s := newSingle(t)
	arrival := s.write("bench-1", lonely, &journal.Arrival{Found: []string{"dent"}, Agreed: true})
	struck := s.write("bench-1", lonely, &journal.PedalCheck{Feel: journal.PedalFirm})
	s.write("bench-1", lonely, &journal.Correction{Of: struck, Reason: "slip"})
	elsewhere := s.write("bench-1", "job/j0b00002", &journal.RoadTest{Distance: quantity[unitDistance]("5 km"), Result: "straight"})
	for _, trial := range []struct {
		of   journal.EntryID
		says string
	}{
		{s.road, ""},
		{arrival, "IO looked at “received"},
		{arrival, "Choose the last work on the brakes."},
		{struck, "Choose the last work on the brakes."},
		{elsewhere, "is not in the record of this job here"},
	} {
		look := s.again("again")
		look.Of = trial.of
		err := s.MayAppend(t.Context(), journal.Draft{Subject: lonely, By: "io", Data: look})
		if (err == nil) != (trial.says == "") || err != nil && !strings.Contains(err.Error(), trial.says) {
			t.Errorf("%s: got %v, want %q", trial.of, err, trial.says)
		}
	}
}

// The record tells a second look once: in its line who looked at whose work, and
// beside it only what else there is to it.
func TestASecondLookIsToldOnce(t *testing.T) {
	for _, trial := range []struct {
		what   string
		does   func(*single)
		beside []string
	}{
		{"by another person", func(s *single) { s.looks("jr", s.again("jr")) }, nil},
		{"by a person who came later", func(s *single) { s.looks("mk", s.again("mk")) }, []string{"MK came on the register after that work"}},
		{"by one who is not authorised", func(s *single) { s.looks("bo", s.again("bo")) }, []string{"BO is not authorised for second checks"}},
		{"by the same person", func(s *single) { s.write("bench-1", lonely, s.again("again")) }, []string{"the shop had one person; the same person looked again after 61 min"}},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := newSingle(t)
			trial.does(s)
			s.stands()
			st := s.View(t.Context()).Standing(lonely.Job())
			lines := st.Job.Timeline()
			look := lines[len(lines)-1]
			beside := shop.Beside([]*shop.Standing{st})
			var says []string
			if is := beside(look); is == nil || !strings.Contains(string(is.Facts), `"second check`) {
				t.Fatalf("what the look amounts to is not beside it: %+v", is)
			} else {
				says = is.Says
			}
			if !slices.Equal(says, trial.beside) {
				t.Errorf("beside it stands %q, want %q", says, trial.beside)
			}
			var text strings.Builder
			if err := st.Job.WriteText(&text, record.Options{Beside: beside}); err != nil {
				t.Fatal(err)
			}
			plain := strings.Join(strings.Fields(text.String()), " ")
			if n := strings.Count(plain, "checked the road test of"); n != 1 || strings.Count(plain, "tried by hand: banjo bolt") != 1 || !strings.Contains(plain, "by IO (entry ") || !strings.Contains(plain, "): in order; tried by hand: banjo bolt") {
				t.Errorf("it is told %d times:\n%s", n, text.String())
			}
		})
	}
}

// looks lets somebody look who works here too: jr since before the work, the
// others since after it.
func (s *single) looks(by journal.PersonID, look *journal.SecondCheck) {
	s.Helper()
	who := &journal.Person{Person: by, Initials: strings.ToUpper(string(by))}
	if by != "bo" {
		who.Duties = []journal.Duty{journal.SecondCheckDuty}
	}
	s.write("hub", "person/"+journal.Subject(by), who)
	s.seen.meet("bench-1", "hub")
	if by == "jr" { // who was here when the work was done
		s.write("bench-1", lonely+"/corner/LF", &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: "tw-1"})
		s.road = s.write("bench-1", lonely, &journal.RoadTest{Distance: quantity[unitDistance]("5 km"), Result: "straight"})
	}
	s.by = by
	s.write("bench-1", lonely, look)
}
