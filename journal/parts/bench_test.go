package parts_test

import (
	"fmt"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
)

// packedJobs are ten thousand jobs of four parts, with nearly every column
// filled.
func packedJobs(tb testing.TB) map[journal.JobID][]byte {
	bodies := make(map[journal.JobID][]byte)
	for j := range 10_000 {
		job := journal.JobID(fmt.Sprintf("j%07d", j))
		var rows []parts.Row
		for _, corner := range []journal.Corner{journal.LeftFront, journal.RightFront} {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				r := parts.NewRow(journal.About(job, corner, part), 1)
				for i, c := range parts.Columns() {
					switch {
					case c.Name == parts.Casting:
						r.Put(c.Name, parts.Text(fmt.Sprint(corner, part, j)))
					case c.Role == parts.Key && c.Name != parts.Date, (i+j)%9 == 0:
					case c.Kind == parts.Number:
						r.Put(c.Name, parts.Num(float64((i*j)%977)/10))
					case c.Kind == parts.Word:
						r.Put(c.Name, parts.Text(fmt.Sprintf("word %d", (i*j)%29)))
					case c.Kind == parts.YesNo:
						r.Put(c.Name, parts.Yes((i*j)%31 == 0))
					case c.Kind == parts.Day:
						r.Put(c.Name, parts.On(time.Date(2026, 1, 1+j/12, 0, 0, 0, 0, time.UTC)))
					}
				}
				rows = append(rows, r)
			}
		}
		body, err := parts.Pack(rows)
		if err != nil {
			tb.Fatal(err)
		}
		bodies[job] = body
	}
	return bodies
}

// BenchmarkTable measures a table of 40 000 rows: made of packed rows, and with
// those of one job replaced.
func BenchmarkTable(b *testing.B) {
	bodies := packedJobs(b)
	size := 0
	for _, body := range bodies {
		size += len(body)
	}
	var table *parts.Table
	b.Run("first", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var err error
			if table, err = parts.New().WithPacked(bodies); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(size)/float64(table.Len()), "B/row")
	})
	b.Run("again", func(b *testing.B) {
		b.ReportAllocs()
		const job = journal.JobID("j0005000")
		for b.Loop() {
			if _, err := table.WithPacked(map[journal.JobID][]byte{job: bodies[job]}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
