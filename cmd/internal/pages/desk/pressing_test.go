package desk_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// The board has what is promised first on top, says what is late by the day of the hub's
// clock, and goes by the day that was promised last; the first one stays in the record.
func TestBoardByPromise(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	day := func(n int) journal.Date { return journal.Date(o.Now().AddDate(0, 0, n).Format(time.DateOnly)) }
	open := func(id journal.JobID, plate string, ready journal.Date) {
		o.Write(journal.About(id, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: plate}, Ready: ready})
	}
	order := func(plates ...string) {
		t.Helper()
		body := o.get("/").well(http.StatusOK).body
		at := -1
		for _, plate := range plates {
			next := strings.Index(body, ">"+plate+"</a>")
			if next < at {
				t.Errorf("%s is not in its place of %v", plate, plates)
			}
			at = next
		}
	}
	open("4f7kk2m9", "FB 1", day(5))
	open("9w3c0x1t", "FB 2", "")
	open("b2k7m9xq", "FB 3", day(-2))
	open("c3k7m9xq", "FB 4", day(0))
	open("d4k7m9xq", "FB 5", day(1))
	order("FB 3", "FB 4", "FB 5", "FB 1", "FB 2")
	o.get("/").says("2 days late", "promised for today", "promised for tomorrow", "in 5 days", "no day promised", "1 late", "/write/job.promised/job/9w3c0x1t")
	// Another day is promised, by a second tablet too; the last one holds.
	o.Write(journal.About("b2k7m9xq", "", ""), "io", &journal.Promise{Ready: day(9), Reason: "powder came late"})
	order("FB 4", "FB 5", "FB 1", "FB 3", "FB 2")
	o.get("/").hides("1 late")
	numbers := strings.NewReplacer(`<span class="n">`, "", "</span>", "")
	for _, said := range []journal.Date{day(-2), day(9)} { // both stay
		if record := numbers.Replace(o.get("/record/b2k7m9xq").well(http.StatusOK).body); !strings.Contains(record, "romised for "+said.Said(words.Writing{})) {
			t.Errorf("%s is not in the record", said)
		}
	}
	slip := o.Write(journal.About("9w3c0x1t", "", ""), "io", &journal.Promise{Ready: day(-1)})
	order("FB 2", "FB 4")
	o.Write(journal.About("9w3c0x1t", "", ""), "io", &journal.Correction{Of: slip, Reason: "another car"})
	order("FB 3", "FB 2")
}

// Of more jobs than the board lists it has those that are promised first, however long ago
// they were opened, and then the newest; it says how many more there are.
func TestBoardOfManyJobsHasThosePromisedFirst(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	open := func(n int, ready journal.Date) string {
		id := journal.JobID(fmt.Sprintf("4f7kk%03d", n))
		o.Write(journal.About(id, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprintf("FB %d", n)}, Ready: ready})
		return fmt.Sprintf(">FB %d</a>", n)
	}
	late, soon, oldest := open(1, "2026-03-01"), open(2, "2026-03-20"), open(3, "")
	var newest string
	for n := range live.Listed {
		newest = open(10+n, "")
	}
	page := o.get("/").well(http.StatusOK).says(late, soon, newest, "3 more jobs").hides(oldest)
	if strings.Index(page.body, late) > strings.Index(page.body, soon) || strings.Index(page.body, soon) > strings.Index(page.body, newest) {
		t.Error("what is promised first is not on top")
	}
}

// What runs out within two weeks or has run out is on the board, each a link; what is long
// past was used up, and what has time is left to the shelf.
func TestBoardNamesWhatRunsOut(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	day := func(n int) journal.Date { return journal.Date(o.Now().AddDate(0, 0, n).Format(time.DateOnly)) }
	for id, in := range map[journal.LotID]int{"pw-soon": 14, "pw-later": 15, "pw-past": -30, "pw-old": -31, "pw-today": 0} {
		o.Write(journal.Of("lot", string(id)), "io", &journal.PowderLot{Lot: id, Colour: "red", Chemistry: "epoxy", UseBy: day(in)})
	}
	tool := func(id journal.ToolID, result journal.CheckResult, due journal.Date) {
		o.Write(journal.Of("tool", string(id)), "io", &journal.Tool{Tool: id, What: "film gauge"})
		o.Write(journal.Of("tool", string(id)), "io", &journal.ToolCheck{Tool: id, Result: result, Due: due})
	}
	tool("fg-due", "in tolerance", day(3))
	tool("fg-well", "in tolerance", day(300))
	tool("fg-bad", "out of tolerance", day(300))
	p := o.get("/").well(http.StatusOK).says("Runs out soon", "/shelf/lot/pw-soon", "/shelf/lot/pw-past", "/shelf/lot/pw-today", "/shelf/tool/fg-due", "/shelf/tool/fg-bad").
		hides("pw-later").hides("pw-old").hides("fg-well")
	if strings.Index(p.body, "fg-bad") > strings.Index(p.body, "pw-past") || strings.Index(p.body, "pw-today") > strings.Index(p.body, "fg-due") {
		t.Error("the most urgent is not first")
	}
}
