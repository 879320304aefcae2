package readonly_test

import (
	"net/http"
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
