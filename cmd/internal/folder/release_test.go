package folder_test

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// TestNoWayAroundTheHolds: a vehicle is not handed back while a safety hold is
// not met, neither by a release nor by a correction that brings one about.
func TestNoWayAroundTheHolds(t *testing.T) {
	f := open(t, found(t))
	defer f.Close()
	write := func(about journal.Subject, p journal.Payload) *journal.Entry {
		t.Helper()
		e, err := f.Log.Append(t.Context(), journal.Draft{Subject: about, By: "io", Data: p}) // as another machine's entry would come
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	refused := func(what string, p journal.Payload) {
		t.Helper()
		_, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: p})
		var unmet *route.Unreleasable
		if !errors.As(err, &unmet) {
			t.Errorf("%s: %v", what, err)
		}
	}
	publish(t, f, "caliper")
	publish(t, f, "arm")
	opened := write("job/4f7kk2m9", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	refused("a plain release", &journal.Release{})

	released := write("job/4f7kk2m9", &journal.Release{})
	strike := &journal.Correction{Of: released.ID, Reason: "not yet"}
	struck, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: strike})
	if err != nil {
		t.Fatalf("a release cannot be struck through: %v", err)
	}
	refused("a struck release with another in its place", &journal.Correction{Of: released.ID, Reason: "x", Data: []byte(`{"odometer":"84216 km"}`)})
	refused("striking the strike", &journal.Correction{Of: struck.ID, Reason: "x"})

	for name, data := range map[string]string{
		"another card":    `{"vehicle":{"plate":"TRL 4471"},"corners":["LF"],"route":"arm","edition":1}`,
		"no card":         `{"vehicle":{"plate":"TRL 4471"},"corners":["LF"]}`,
		"another edition": `{"vehicle":{"plate":"TRL 4471"},"corners":["LF"],"route":"caliper","edition":2}`,
	} {
		_, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Correction{Of: opened.ID, Reason: "x", Data: []byte(data)}})
		var invalid *journal.Invalid
		if !errors.As(err, &invalid) || !strings.Contains(err.Error(), "stays with the route card") {
			t.Errorf("%s: %v", name, err)
		}
	}
	plate := &journal.Correction{Of: opened.ID, Reason: "slipped", Data: []byte(`{"vehicle":{"plate":"TRL 4472"},"corners":["LF"],"route":"caliper","edition":1}`)}
	if _, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: plate}); err != nil {
		t.Errorf("a slip in the plate cannot be corrected: %v", err)
	}
}

// TestWhoHandsBack: in a shop where somebody is authorised to hand vehicles back nobody else
// does, by a correction neither; where nobody is, everybody does, as before there was the word.
func TestWhoHandsBack(t *testing.T) {
	for _, c := range []struct {
		name    string
		duties  map[journal.PersonID][]journal.Duty
		by      journal.PersonID
		refused string
	}{
		{"who is authorised", map[journal.PersonID][]journal.Duty{"io": {journal.ReleaseDuty}, "jr": {journal.BenchDuty}}, "io", ""},
		{"who is not", map[journal.PersonID][]journal.Duty{"io": {journal.ReleaseDuty}, "jr": {journal.BenchDuty}}, "jr", "JR is not authorised to hand a vehicle back. Let one of these do it: IO."},
		{"nobody on the register", map[journal.PersonID][]journal.Duty{"io": {journal.ReleaseDuty}, "mk": {journal.ReleaseDuty}}, "zz", "zz is not authorised to hand a vehicle back. Let one of these do it: IO, MK."},
		{"where nobody is authorised", map[journal.PersonID][]journal.Duty{"io": {journal.DeskDuty}, "jr": {journal.BenchDuty}}, "jr", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := open(t, found(t))
			defer f.Close()
			write := func(about journal.Subject, by journal.PersonID, p journal.Payload) *journal.Entry {
				t.Helper()
				e, err := f.Log.Append(t.Context(), journal.Draft{Subject: about, By: by, Data: p}) // as another machine's entry would come
				if err != nil {
					t.Fatal(err)
				}
				return e
			}
			for _, id := range slices.Sorted(maps.Keys(c.duties)) {
				write(journal.Of("person", string(id)), "io", &journal.Person{Person: id, Initials: strings.ToUpper(string(id)), Duties: c.duties[id]})
			}
			covers, err := card.Parse("name: cover\nedition: 1\ntitle: Covers\nstages:\n  - {name: powder, title: Powder on, level: part, wants: [powder.applied]}\n")
			if err != nil {
				t.Fatal(err)
			}
			if _, err := f.Append(t.Context(), folder.CardDraft(covers, "io")); err != nil {
				t.Fatal(err)
			}
			write("job/4f7kk2m9", "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Route: "cover", Edition: 1})
			refused := func(what string, by journal.PersonID, p journal.Payload) {
				t.Helper()
				_, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: by, Data: p})
				invalid, _ := errors.AsType[*journal.Invalid](err)
				if c.refused == "" && err != nil || c.refused != "" && (invalid == nil || !strings.Contains(err.Error(), c.refused)) {
					t.Errorf("%s: %v", what, err)
				}
			}
			released := write("job/4f7kk2m9", "io", &journal.Release{})
			struck := write("job/4f7kk2m9", "io", &journal.Correction{Of: released.ID, Reason: "not yet"})
			refused("striking the strike", c.by, &journal.Correction{Of: struck.ID, Reason: "x"})
			if c.refused != "" {
				refused("a plain release", c.by, &journal.Release{})
			}
		})
	}
}

func publish(t *testing.T, f *folder.Folder, name journal.RouteID) {
	t.Helper()
	text, err := card.Supplied(name)
	if err != nil {
		t.Fatal(err)
	}
	read, err := card.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Append(context.Background(), folder.CardDraft(read, "io")); err != nil {
		t.Fatal(err)
	}
}

// A vehicle is handed back by itself: what is written with it could break what it rests on.
func TestHandedBackByItself(t *testing.T) {
	f := open(t, found(t))
	defer f.Close()
	const job = "job/4f7kk2m9"
	all := func(list ...journal.Payload) error {
		var drafts []journal.Draft
		for _, p := range list {
			drafts = append(drafts, journal.Draft{Subject: job, By: "io", Data: p})
		}
		_, err := f.AppendAll(t.Context(), drafts)
		return err
	}
	size := func() int64 {
		head, err := f.Log.Head(t.Context(), f.Device)
		if err != nil {
			t.Fatal(err)
		}
		return head.Size
	}
	if err := all(&journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF"}}); err != nil {
		t.Fatal(err)
	}
	was, note := size(), &journal.Remark{Evidence: journal.Evidence{Note: "hose is old"}}
	for name, list := range map[string][]journal.Payload{"before": {&journal.Release{}, note}, "behind": {note, &journal.Release{}}, "twice": {&journal.Release{}, &journal.Release{}}} {
		var invalid *journal.Invalid
		if err := all(list...); !errors.As(err, &invalid) || !strings.Contains(err.Error(), "by itself") || size() != was {
			t.Errorf("%s: %v, and %d entries are written", name, err, size()-was)
		}
	}
	var unmet *route.Unreleasable
	if err := all(&journal.Release{}); !errors.As(err, &unmet) {
		t.Errorf("by itself it is not asked what holds it: %v", err)
	}
}
