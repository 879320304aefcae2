package parts_test

import (
	"bytes"
	"fmt"
	"math"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"

	"pgregory.net/rapid"
)

// drawn is a row with some columns filled.
func drawn(t *rapid.T) parts.Row {
	job := rapid.StringMatching(`[2-9a-z]{2}`).Draw(t, "job")
	part := journal.Subject(fmt.Sprintf("job/%s222222/corner/LF/part/%s", job, rapid.SampledFrom([]string{"caliper", "bracket"}).Draw(t, "part")))
	r := parts.NewRow(part, rapid.IntRange(1, 2).Draw(t, "coat"))
	for _, c := range parts.Columns() {
		if c.Role == parts.Key && c.Name != parts.Date || rapid.Bool().Draw(t, "absent") {
			continue
		}
		switch c.Kind {
		case parts.Number:
			r.Put(c.Name, parts.Num(rapid.SampledFrom([]float64{0, -3.5, 20, math.NaN(), 1e6 / 3}).Draw(t, "number")))
		case parts.Word:
			r.Put(c.Name, parts.Text(rapid.SampledFrom([]string{"", "K17", "a, b", "\"quoted\"", "grün"}).Draw(t, "word")))
		case parts.YesNo:
			r.Put(c.Name, parts.Yes(rapid.Bool().Draw(t, "answer")))
		case parts.Day:
			r.Put(c.Name, parts.On(time.Date(2026, 1, rapid.IntRange(1, 60).Draw(t, "day"), 23, 59, 0, 0, time.FixedZone("", 3600))))
		}
	}
	return r
}

func written(t *rapid.T, table *parts.Table) string {
	var b bytes.Buffer
	if err := table.WriteCSV(&b, true); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A table is what its rows are, however they came into it; and its CSV form
// says all that is in it.
func TestTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		byJob := make(map[journal.JobID][]parts.Row)
		var all []parts.Row
		seen := make(map[string]bool)
		for _, r := range rapid.SliceOfN(rapid.Custom(drawn), 0, 30).Draw(t, "rows") {
			if key := fmt.Sprint(r.Subject(), r.Get(parts.Coat)); !seen[key] {
				seen[key] = true
				byJob[r.Subject().Job()] = append(byJob[r.Subject().Job()], r)
				all = append(all, r)
			}
		}
		table := parts.New(all...)
		want := written(t, table)
		if table.Len() != len(all) {
			t.Fatalf("%d rows of %d", table.Len(), len(all))
		}

		grown := parts.New()
		for job, rows := range byJob {
			grown = grown.With(map[journal.JobID][]parts.Row{job: {parts.NewRow(rows[0].Subject(), 9)}}) // an older state of it
			grown = grown.With(map[journal.JobID][]parts.Row{job: rows})
		}
		grown = grown.With(map[journal.JobID][]parts.Row{"none2222": nil})
		if got := written(t, grown); got != want {
			t.Fatalf("by and by:\n%s\nat once:\n%s", got, want)
		}

		bodies := make(map[journal.JobID][]byte)
		for job, rows := range byJob {
			body, err := parts.Pack(rows)
			if err != nil {
				t.Fatal(err)
			}
			bodies[job] = body
		}
		packed, err := grown.WithPacked(bodies)
		if err != nil {
			t.Fatal(err)
		}
		if got := written(t, packed); got != want {
			t.Fatalf("packed and unpacked:\n%s\nwritten:\n%s", got, want)
		}

		again, err := parts.ReadCSV(bytes.NewReader([]byte(want)))
		if err != nil {
			t.Fatal(err)
		}
		if got := written(t, again); got != want {
			t.Fatalf("read again:\n%s\nwritten:\n%s", got, want)
		}
	})
}

func TestWhatNobodyWroteIsAbsent(t *testing.T) {
	r := parts.NewRow("job/4f7kk2m9/corner/LF/part/caliper", 1)
	r.Put(parts.SoakMinutes, parts.Num(math.Inf(1)))
	r.Put(parts.Pattern, parts.Text(""))
	table := parts.New(r)
	for _, name := range []parts.Name{parts.SoakMinutes, parts.Pattern, parts.Looked, parts.HandedBack} {
		if v := table.At(0, name); v.Known() || v.String() != "" || v.Is() {
			t.Errorf("%s is %q", name, v)
		}
	}
	if got := table.At(0, parts.Job).String(); got != "4f7kk2m9" {
		t.Errorf("the job is %q", got)
	}
}

func TestNamesOfPeopleStay(t *testing.T) {
	r := parts.NewRow("job/4f7kk2m9/corner/LF/part/caliper", 1)
	r.Put(parts.Person, parts.Text("QZ"))
	table := parts.New(r)
	for _, people := range []bool{false, true} {
		var b bytes.Buffer
		if err := table.WriteCSV(&b, people); err != nil {
			t.Fatal(err)
		}
		if got := bytes.Contains(b.Bytes(), []byte("QZ")); got != people {
			t.Errorf("asked for: %v, written: %v", people, got)
		}
	}
}

// Every column can be explained to somebody who never saw the program.
func TestDictionary(t *testing.T) {
	seen := make(map[parts.Name]bool)
	for _, c := range parts.Columns() {
		if seen[c.Name] || c.Says == "" || c.From == "" || c.Kind == "" || c.Role == "" || c.Unit != "" && c.Kind != parts.Number {
			t.Errorf("%+v", c)
		}
		seen[c.Name] = true
	}
	for _, look := range journal.Look("").Words() {
		if got, ok := parts.Defect(look).Look(); !ok || got != look || !seen[parts.Defect(look)] {
			t.Errorf("%s: %q", look, got)
		}
	}
	var b bytes.Buffer
	if err := parts.WriteDictionary(&b); err != nil {
		t.Fatal(err)
	}
	if got, want := bytes.Count(b.Bytes(), []byte("\n")), len(parts.Columns())+1; got != want {
		t.Errorf("%d lines, want %d", got, want)
	}
}
