package readonly_test

import (
	"net/http"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/trade/unit"

	"fettlebook/cmd/internal/pages/readonly"
)

// A photograph has a page of its own: what is before and after it in the job, what is
// marked on a copy of it, and what its entry says. A mark is corrected like anything
// that was written.
func TestAPhotographLarge(t *testing.T) {
	b := newBench(t, nil)
	share := func(text string) (r unit.Ratio) {
		if err := r.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		return r
	}
	job, part := journal.About("4f7kk2m9", "", ""), journal.About("4f7kk2m9", "LF", "caliper")
	b.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	first := b.Write(job, "io", &journal.Arrival{Agreed: true}, "as it came in")
	chip := b.Write(part, "io", &journal.Defect{Looks: journal.Chip, Face: "ear", Seen: journal.AtAssembly}, "the chip")
	last := b.Write(part, "io", &journal.Snapshot{}, "the other side")
	at := func(id journal.EntryID) string {
		return readonly.PicturePath(facts.Sights(b.Live.View(t.Context()).Line(id)[0])[0], "")
	}
	says := func(page string, wanted ...string) {
		t.Helper()
		for _, want := range wanted {
			if !strings.Contains(page, want) {
				t.Errorf("%q is not on the page", want)
			}
		}
	}
	says(b.get(at(first), http.StatusOK), "1 of 3 photographs", `rel="next" href="`+at(chip)+`"`, "As it came in", "The original")
	page := b.get(at(chip), http.StatusOK)
	says(page, `rel="prev" href="`+at(first)+`"`, `rel="next" href="`+at(last)+`"`, "chip at ear", "/write/photo.marked/"+string(part)+"?of="+chip.String())
	if strings.Contains(page, "<circle") || strings.Contains(page, "Without the marks") {
		t.Error("something is marked that nobody marked")
	}
	if page := b.get(at(last), http.StatusOK); strings.Contains(page, `rel="next"`) {
		t.Error("something comes after the last photograph")
	}

	ref := b.Live.View(t.Context()).Line(chip)[0].Photos[0].Ref
	marked := b.Write(part, "io", &journal.PhotoMarks{Of: chip, Marks: []journal.Pointed{
		{Photo: ref, Shape: journal.RingMark, X: share("25 %"), Y: share("50 %"), Radius: share("10 %"), Says: "bare metal <here>"},
		{Photo: ref, Shape: journal.ArrowFromAbove, X: share("50 %"), Y: share("75 %"), Says: "and a scratch"},
	}})
	says(b.get(at(chip), http.StatusOK), `cx="16.0" cy="24.0" r="6.4"`, ">2</text>", "Bare metal &lt;here&gt;", "And a scratch", "Without the marks", "with what is marked on a copy", "/entry/"+marked.String())
	plain := b.get(at(chip)+"?marks=off", http.StatusOK)
	says(plain, "Show the marks", "And a scratch")
	if strings.Contains(plain, "<circle") {
		t.Error("the marks are drawn though nobody wants them")
	}
	says(b.get("/entry/"+chip.String(), http.StatusOK), `cx="16.0" cy="24.0" r="6.4"`, "Marked on a copy of the photograph")
	b.Write(part, "io", &journal.Correction{Of: marked, Reason: "it is dirt"})
	if page := b.get(at(chip), http.StatusOK); strings.Contains(page, "<circle") {
		t.Error("a mark is drawn that was struck out")
	}

	b.Write(job, "io", &journal.Withdrawal{Photo: ref, Reason: "it shows a person"})
	page = b.get(at(chip), http.StatusOK)
	says(page, "This photograph was withdrawn", `rel="next"`, "its hash stays")
	if strings.Contains(page, "Mark something") || strings.Contains(page, "/photo/"+ref.Hex()) {
		t.Error("a photograph that is gone can be opened and marked")
	}
	says(b.get("/record/4f7kk2m9", http.StatusOK), "withdrawn: the chip")
	for path, says := range map[string]string{
		"/picture/" + chip.String() + "/2":              "has 1 photograph and not this one",
		"/picture/" + chip.String() + "/0":              "not this one",
		"/picture/" + chip.String() + "/x":              "no such photograph",
		"/picture/nonsense/1":                           "not an entry ID",
		"/picture/00000000-0000-7000-8000-0000000000/1": "not an entry ID",
	} {
		if page := b.get(path, http.StatusNotFound); !strings.Contains(page, says) {
			t.Errorf("%s does not say %q", path, says)
		}
	}
}

// Whoever marks a photograph in an entry about something else marks nothing on it: on its
// page stands what is said of its own entry.
func TestMarksOfAnotherEntry(t *testing.T) {
	b := newBench(t, nil)
	var quarter unit.Ratio
	if err := quarter.UnmarshalText([]byte("25 %")); err != nil {
		t.Fatal(err)
	}
	part, other := journal.About("4f7kk2m9", "LF", "caliper"), journal.About("8d2mm4rq", "RF", "caliper")
	chip := b.Write(part, "io", &journal.Defect{Looks: journal.Chip, Face: "ear", Seen: journal.AtAssembly}, "the chip")
	theirs := b.Write(other, "io", &journal.Snapshot{}, "something else")
	ref := b.Live.View(t.Context()).Line(chip)[0].Photos[0].Ref
	b.Write(other, "io", &journal.PhotoMarks{Of: theirs, Marks: []journal.Pointed{{Photo: ref, Shape: journal.RingMark, X: quarter, Y: quarter, Says: "not theirs"}}})
	b.Write(other, "io", &journal.Defect{Looks: journal.Pinhole, Face: "flank", Seen: journal.AfterBake, Marks: []journal.Mark{{Photo: ref, X: quarter, Y: quarter}}})
	for _, path := range []string{"/picture/" + chip.String() + "/1", "/entry/" + chip.String()} {
		if page := b.get(path, http.StatusOK); strings.Contains(page, "<circle cx") || strings.Contains(page, "Not theirs") {
			t.Errorf("%s shows what is marked in another entry", path)
		}
	}
}
