package route_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/media"
)

// How a record came about is stated where it is out of the ordinary, and of an
// honest one nothing is.
func TestManner(t *testing.T) {
	pinned := supplied(t, "caliper")
	one := media.Ref{7}
	everyPicture := func(s *story, change func(i int, p *journal.Photo)) {
		n := 0
		for i := range s.steps {
			data := s.steps[i].data
			s.steps[i].data = func(ids map[string]journal.EntryID) journal.Payload {
				p := data(ids)
				photos := reflect.ValueOf(p).Elem().FieldByName("Evidence").Interface().(journal.Evidence).Photos // shared
				for k := range photos {
					change(n, &photos[k])
					n++
				}
				return p
			}
		}
	}
	stamped := func(taken string) func(*story) {
		return func(s *story) {
			everyPicture(s, func(i int, p *journal.Photo) {
				if i == 3 {
					p.Taken = journal.CameraTime(taken)
				}
			})
		}
	}
	for _, test := range []struct {
		name  string
		does  func(*story)
		is    []facts.Quantity
		value string
	}{
		{"written as it was done", func(*story) {}, nil, ""},
		{"all at the keyboard in one go", func(s *story) {
			for i := range s.steps {
				s.steps[i].after = time.Second
			}
		}, []facts.Quantity{facts.WrittenUp}, "0"},
		{"a soak stamped an hour after it ended", func(s *story) { s.steps[s.index("soak")].after += time.Hour }, nil, ""},
		{"a picture taken again under the same name", func(s *story) {
			everyPicture(s, func(i int, p *journal.Photo) {
				if i == 4 || i == 5 {
					p.Ref, p.Role = one, "after blast"
				}
			})
		}, nil, ""},
		{"one picture for everything", func(s *story) { everyPicture(s, func(_ int, p *journal.Photo) { p.Ref = one }) }, []facts.Quantity{facts.PictureAgain}, ""},
		{"a camera some minutes slow", stamped("2026-03-02T08:10:00+01:00"), nil, ""},
		{"a picture of last year", stamped("2025-03-02T07:55:00"), []facts.Quantity{facts.OldPictures}, "1"},
		{"a camera that is ahead", stamped("2031-03-02T07:55:00"), nil, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := complete(t)
			s.add(released())
			test.does(s)
			job, shop := fold(s.write().log)
			back := held(pinned, job, shop).HandedBack()
			var is []facts.Quantity
			for _, m := range back.Manner {
				is = append(is, m.Quantity)
				t.Log(m.Say())
				if test.value != "" && m.Value != test.value || len(m.Entries) == 0 {
					t.Errorf("stated %+v, want %s", m, test.value)
				}
			}
			if !slices.Equal(is, test.is) {
				t.Errorf("stated %q, want %q", is, test.is)
			}
		})
	}
}
