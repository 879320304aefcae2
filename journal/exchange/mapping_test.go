package exchange_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/journaltest"
)

// mapped reads the table that people read: what becomes of a kind.
func mapped(t *testing.T) (kinds map[string]string, others string) {
	t.Helper()
	kinds = make(map[string]string)
	_, table, _ := strings.Cut(exchange.Mapping, "  entry                            event\n")
	table, _, _ = strings.Cut(table, "\n\n")
	var names []string
	for line := range strings.Lines(table) {
		left, event := strings.TrimSpace(line[:min(35, len(line))]), ""
		if len(line) > 35 {
			event = strings.TrimSpace(line[35:])
		}
		if strings.Contains(left, ", ") || strings.HasSuffix(strings.TrimSpace(line), ",") { // a list of kinds
			left, event = strings.TrimSpace(line), ""
		}
		for name := range strings.SplitSeq(left, ",") {
			if name = strings.TrimSpace(name); name != "" {
				names = append(names, name)
			}
		}
		if event == "" {
			continue
		}
		for _, name := range names {
			kinds[name] = event
		}
		names = nil
	}
	return kinds, kinds["all others"]
}

// Every kind of entry about a job or a run becomes what the table says, and
// fits the schema, with all that it can hold.
func TestEveryKindBecomesWhatTheTableSays(t *testing.T) {
	h := newHub(t)
	const job = journal.JobID("4f7kk2m9")
	h.open(job, "FB 204")
	wrote := make(map[string]journal.Kind)
	for _, d := range slices.Concat(journaltest.Samples(), journaltest.Minimal()) {
		kind := d.Data.Kind()
		if d.Subject.Job() == "" && d.Subject.Run() == "" || kind == journal.EntryTakenOver || kind == journal.EntryCorrected {
			continue
		}
		if d.Subject.Job() != "" {
			d.Subject = journal.About(job, d.Subject.Corner(), d.Subject.Part())
		}
		wrote[name(h, h.write(d.Subject, d.Data))] = kind
	}
	doc := decoded(t, written(t, exchange.EPCIS, h.source(job)))
	if err := epcisSchema(t).Validate(doc); err != nil {
		t.Fatal(err)
	}
	kinds, others := mapped(t)
	if len(kinds) < 20 || others == "" {
		t.Fatalf("the table cannot be read: %q", kinds)
	}
	seen := make(map[journal.Kind]bool)
	for _, e := range events(doc) {
		kind, ok := wrote[e["eventID"].(string)]
		if !ok {
			continue // the opening
		}
		seen[kind] = true
		want := kinds[string(kind)]
		if want == "" {
			want = strings.Replace(others, "KIND", string(kind), 1)
		}
		for _, field := range []string{"type", "action", "disposition", "bizStep"} {
			got, ok := e[field]
			if field == "bizStep" && kind == journal.PowderApplied { // the table says what goes in and comes out instead
				continue
			}
			if ok && !strings.Contains(want, fmt.Sprint(got)) {
				t.Errorf("%s: %s is %v, and the table says %q", kind, field, got, want)
			}
		}
	}
	for name := range kinds {
		if name != "all others" && !seen[journal.Kind(name)] {
			t.Errorf("no event shows what becomes of %s", name)
		}
	}
	t.Logf("%d kinds", len(seen))
}
