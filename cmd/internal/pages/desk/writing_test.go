package desk_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
)

// Over the demonstration's story, in each way of writing, no page of the desk has a number
// or a day in another way than the shop's. Two sorts of pages stand apart: the parts table is
// shown as its CSV form has it, which conditions are typed in too; and the sentences of a
// study are written in one way yet.
func TestOneWayAtTheDesk(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	for _, way := range readonlytest.Ways() {
		o.Write("shop/k7m2q4xw", "io", journal.NewWriting(way, journal.ByInitials))
		told := make(map[string]bool)
		pages := 0
		readonlytest.Sweep(t, o.inside, "/", func(path, page string) {
			pages++
			if slices.ContainsFunc([]string{"/parts", "/recurring", "/investigation"}, func(apart string) bool { return strings.HasPrefix(path, apart) }) {
				return
			}
			text := readonlytest.ReadOn(page)
			for _, found := range readonlytest.Otherwise(text, way) {
				if at := strings.Index(text, found); !told[found] && len(told) < 20 {
					told[found] = true
					t.Errorf("%+v: %s has %q: …%s…", way, path, found, strings.Join(strings.Fields(text[max(0, at-80):min(len(text), at+len(found)+40)]), " "))
				}
			}
		})
		if pages < 100 {
			t.Errorf("only %d pages were read", pages)
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
		{nil, "The shop writes numbers like 12345.5 and days like 30 November 2026; on a customer&#39;s paper people stand with their initials."},
		{&journal.Writing{Decimal: "comma", Thousands: "together", Days: "day.month.year", People: journal.ByFullName}, "The shop writes numbers like 12345,5 and days like 30.11.2026; on a customer&#39;s paper people stand with their full names."},
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
