package readonly_test

import (
	"errors"
	"net/http"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// The page of a defect shows where it is: on the drawing that was named, and
// on the photograph that was marked.
func TestWhereADefectIs(t *testing.T) {
	b := newBench(t, nil)
	share := func(text string) (r unit.Ratio) {
		if err := r.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		return r
	}
	part := journal.About("4f7kk2m9", "LF", "caliper")
	b.Write(journal.About("4f7kk2m9", "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	words := b.Write(part, "io", &journal.Defect{Looks: journal.Chip, Face: "ear", Seen: journal.AtAssembly}, "the chip")
	if page := b.get("/entry/"+words.String(), http.StatusOK); strings.Contains(page, "<circle") {
		t.Error("a place is shown that nobody named")
	}
	photo, _ := b.Snap(7, "pinholes")
	photo2, _ := b.Snap(uint64(b.Now().Unix())+60, "pinholes") // that the next entry takes
	if photo.Ref == photo2.Ref {
		t.Fatal("both photographs are the same")
	}
	shown := b.Write(part, "io", &journal.Defect{
		Looks: journal.Pinhole, Face: "flank", Seen: journal.AfterBake, Outline: journal.FloatingInner, X: share("50 %"), Y: share("25 %"),
		Marks: []journal.Mark{{Photo: photo2.Ref, X: share("25 %"), Y: share("50 %"), Radius: share("10 %")}, {Photo: photo.Ref, X: share("1 %"), Y: share("1 %")}},
	}, "pinholes")
	page := b.get("/entry/"+shown.String(), http.StatusOK)
	for _, want := range []string{`aria-label="The place on the drawing: floating caliper, inner side"`, `cx="160.0" cy="60.0"`, `alt="pinholes, with what is marked on it"`, `viewBox="0 0 64 48"`, `cx="16.0" cy="24.0" r="6.4"`} {
		if !strings.Contains(page, want) {
			t.Errorf("%s is not on the page", want)
		}
	}
	if n := strings.Count(page, "with what is marked on it"); n != 1 {
		t.Errorf("%d photographs are marked, one of them of another entry", n)
	}
}

// Whoever writes mark upon mark past the pages has the newest drawn and the rest counted.
func TestMoreMarksThanAPhotographShows(t *testing.T) {
	b := newBench(t, nil)
	part := journal.About("4f7kk2m9", "LF", "caliper")
	b.Write(journal.About("4f7kk2m9", "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	of := b.Write(part, "io", &journal.Snapshot{}, "the ear")
	photo := b.Live.View(t.Context()).Line(of)[0].Photos[0].Ref
	var at unit.Ratio
	if err := at.UnmarshalText([]byte("50 %")); err != nil {
		t.Fatal(err)
	}
	mark := func(says string, n int) *journal.PhotoMarks {
		return &journal.PhotoMarks{Of: of, Marks: slices.Repeat([]journal.Pointed{{Photo: photo, Shape: journal.RingMark, X: at, Y: at, Says: says}}, n)}
	}
	past := func(about journal.Subject, m *journal.PhotoMarks) {
		t.Helper()
		e, err := b.Log.Append(t.Context(), journal.Draft{Subject: about, By: "io", Data: m})
		if err == nil {
			_, err = b.Live.Await(t.Context(), e.ID)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	past(part, mark("first", journal.MaxMarks))
	past(part, mark("second", journal.MaxMarks))
	past(part, mark("last", 1))
	past(journal.About("8d2mm4rq", "LF", "caliper"), mark("from elsewhere", 1))
	page, entry := b.get("/picture/"+of.String()+"/1", http.StatusOK), b.get("/entry/"+of.String(), http.StatusOK)
	for what, body := range map[string]string{"photograph": page, "entry": entry} {
		if n := strings.Count(body, "<circle"); n != 2*journal.MaxMarks { // each with its pale edge
			t.Errorf("%s: %d circles are drawn of %d marks", what, n, journal.MaxMarks)
		}
	}
	for text, is := range map[string]bool{"First": false, "Second": true, "Last": true, "From elsewhere": false, "65 earlier marks are not drawn": true, "<b class=\"n\">129</b> Last": true} {
		if strings.Contains(page, text) != is {
			t.Errorf("%q is there: %v", text, !is)
		}
	}
	err := b.Live.MayAppend(t.Context(), journal.Draft{Subject: part, By: "io", Data: mark("one more", 1)})
	if bad, ok := errors.AsType[*journal.Invalid](err); !ok || bad.Problems[0].Code != journal.TooMany {
		t.Errorf("one more mark: %v", err)
	}
}
