package desk_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Over the demonstration's story, in each way of writing, no page of the desk has a number
// or a day in another way than the shop's.
func TestOneWayAtTheDesk(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	for _, way := range readonlytest.Ways() {
		look := o.writes(way)
		pages := 0
		readonlytest.Sweep(t, o.inside, "/", func(path, page string) {
			pages++
			look(path, page)
		})
		if pages < 100 {
			t.Errorf("only %d pages were read", pages)
		}
	}
}

// writes chooses a way of writing, and returns what complains of a page that has a number or a
// day in another one.
func (o *office) writes(way words.Writing) func(path, page string) {
	o.t.Helper()
	o.Write("shop/k7m2q4xw", "io", journal.NewWriting(way, journal.ByInitials))
	told := make(map[string]bool)
	return func(path, page string) {
		o.t.Helper()
		text := readonlytest.ReadOn(page)
		for _, found := range readonlytest.Otherwise(text, way) {
			if at := strings.Index(text, found); !told[found] && len(told) < 20 {
				told[found] = true
				o.t.Errorf("%+v: %s has %q: …%s…", way, path, found, strings.Join(strings.Fields(text[max(0, at-80):min(len(text), at+len(found)+40)]), " "))
			}
		}
	}
}

// So it is with a study that has something to say, its factors of every sort, and the parts
// table; the files of the table are the same in every way.
func TestStudyInOneWay(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.invent(300)
	file := o.get("/parts/table.csv").body
	for _, way := range readonlytest.Ways() {
		look := o.writes(way)
		for _, path := range []string{"/recurring", "/parts", "/parts?sort=film_um", "/parts?where=soak_metal_c%3E200",
			"/recurring/powder_lot", "/recurring/same_day", "/recurring/film_um", "/recurring/soak_metal_c", "/recurring/schedule_fraction", "/recurring/humidity_percent"} {
			look(path, o.get(path).well(http.StatusOK).body)
		}
		if o.get("/parts/table.csv").body != file {
			t.Errorf("%+v: the table's file is another one", way)
		}
	}
}

// The shelf shows how the shop writes, and leads to the form that changes it.
func TestShelfChoosesTheWriting(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for _, test := range []struct {
		is   *journal.Writing
		says string
	}{
		{nil, "The shop writes numbers like 12345.5 and days like 30 November 2026; on a customer’s paper people stand with their initials."},
		{&journal.Writing{Decimal: "comma", Thousands: "together", Days: "day.month.year", People: journal.ByFullName}, "The shop writes numbers like 12345,5 and days like 30.11.2026; on a customer’s paper people stand with their full names."},
	} {
		if test.is != nil {
			o.Write("shop/k7m2q4xw", "io", test.is)
		}
		page := o.get("/shelf").well(200).body
		if !strings.Contains(page, test.says) || !strings.Contains(page, fmt.Sprintf("/write/%s/", journal.WritingChosen)) {
			t.Errorf("the shelf does not say %q", test.says)
		}
	}
}
