package shop_test

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"
)

// lineSays is what a line says without its job.
func lineSays(t fataler, line *record.Line) string {
	l := *line
	l.Flags = slices.DeleteFunc(slices.Clone(l.Flags), func(f record.Flag) bool {
		return f == record.JobTwice || f == record.AfterHandover || f == record.CustomerErased
	})
	raw, err := json.Marshal(&l, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func toolSays(s facts.ToolState) any { return []any{s.ID, s.Uses, s.Doubt, s.Due, s.Result} }

func jobSays(t fataler, j *record.Job, in *record.Shop) string {
	by, err := route.Pinned(new(card.Shelf), j, in)
	if err != nil {
		by = nil
	}
	held := route.Hold(by, j, facts.StockOf(in))
	said, err := json.Marshal([]any{held.Check(), held.Next(), held.Ignorance(), route.FollowUps(by, j, journaltest.Morning())}, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(said) + "\n" + recordSays(t, j)
}

// recordSays is the record of a job or of a vehicle with all its jobs.
func recordSays(t fataler, of interface {
	JSON(record.Options) ([]byte, error)
	WriteText(io.Writer, record.Options) error
}) string {
	o := record.Options{Receipts: true, Clocks: true}
	raw, err := of.JSON(o)
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	if err := of.WriteText(&text, o); err != nil {
		t.Fatal(err)
	}
	return string(raw) + "\n" + text.String()
}

// stand holds a job against its card by the fold of everything in every order.
func stand(j *record.Job, in *record.Shop, lates []*record.Shop) *route.Held {
	by, err := route.Pinned(new(card.Shelf), j, in)
	if err != nil {
		by = nil
	}
	held := route.Hold(by, j, facts.StockOf(in))
	for _, late := range lates {
		if other := late.Job(j.ID); other != nil {
			held.Late(route.Hold(by, other, facts.StockOf(late)))
		}
	}
	return held
}

func standSays(t *rapid.T, verdicts route.Verdicts, next []route.Todo, ignorance []route.Ignorance) string {
	raw, err := json.Marshal([]any{verdicts, next, ignorance}, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// sameParts demands that the parts table is that of the fold of everything.
func sameParts(t fataler, want *record.Shop, v *shop.View) {
	t.Helper()
	var rows []parts.Row
	for _, j := range want.Jobs {
		rows = append(rows, facts.StockOf(want).Coats(j)...)
	}
	same(t, "the parts table", tableSays(t, parts.New(rows...)), tableSays(t, v.Parts()))
}

func tableSays(t fataler, table *parts.Table) string {
	t.Helper()
	var text strings.Builder
	if err := table.WriteCSV(&text, true); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

func runSays(r *record.Run) string {
	var ids []journal.EntryID
	for _, l := range r.Lines {
		ids = append(ids, l.ID)
	}
	var jobs []string
	for _, j := range r.Jobs {
		jobs = append(jobs, fmt.Sprint(j.ID, j.State))
	}
	slices.Sort(jobs)
	return fmt.Sprint(r.What, r.Parts, r.Lots, ids, jobs)
}

// same compares and shows where two texts part.
func same(t fataler, what, want, got string) {
	t.Helper()
	if want == got {
		return
	}
	i := 0
	for i < len(want) && i < len(got) && want[i] == got[i] {
		i++
	}
	from := max(0, i-300)
	t.Fatal(fmt.Sprintf("%s: the fold of everything says\n…%s\nand the shop says\n…%s", what, want[from:min(len(want), i+900)], got[from:min(len(got), i+900)]))
}
