package recur_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

func BenchmarkStudy(b *testing.B) {
	for _, parts := range []int{300, 1000, 5000, 40000} {
		b.Run(fmt.Sprint(parts), func(b *testing.B) {
			table := invented.Make(invented.Setting{Seed: 1, Parts: parts, Days: max(365, parts/4), Cause: invented.OneLot, Mixed: true}).Table()
			for b.Loop() {
				if _, err := recur.Of(table, recur.Question{Defect: "pinhole"}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkAgain asks the same of 40 000 parts as before, and with the rows of one
// job replaced.
func BenchmarkAgain(b *testing.B) {
	table := invented.Make(invented.Setting{Seed: 1, Parts: 40000, Days: 10000, Cause: invented.OneLot, Mixed: true}).Table()
	job := journal.JobID(table.At(20000, parts.Job).String())
	var rows []parts.Row
	for i := range table.Len() {
		if table.At(i, parts.Job).String() == string(job) {
			rows = append(rows, table.Row(i))
		}
	}
	q := recur.Question{Defect: "pinhole"}
	for name, next := range map[string]func() *parts.Table{
		"the same":       func() *parts.Table { return table },
		"one more entry": func() *parts.Table { return table.With(map[journal.JobID][]parts.Row{job: rows}) },
	} {
		b.Run(name, func(b *testing.B) {
			var k recur.Kept
			if _, err := k.Of(table, q); err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := k.Of(next(), q); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
