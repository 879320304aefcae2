package record_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
)

// season is a book of about n entries: jobs of about four hundred, each with
// what all kinds of entries say of a part, and every tenth a correction.
func season(b *testing.B, n int) *record.Book {
	bench := newTablet(b, "bench-1")
	samples := journaltest.Samples()
	var last journal.EntryID
	for i := range n {
		job := journal.JobID(fmt.Sprintf("job-%d", i/400))
		switch d := samples[i%len(samples)]; {
		case i%400 == 0:
			bench.says(journal.Of("job", string(job)), "io", opening(invented(i), fmt.Sprint("AB ", i)))
		case i%10 == 0 && i%400 > 20:
			bench.says(journal.About(job, "LF", ""), "io", correct(last, "a slip", torque("27 N.m", "banjo bolt")))
		case d.Subject.Word() == "job/corner/part":
			bench.says(journal.About(job, d.Subject.Corner(), d.Subject.Part()), "io", d.Data)
		default:
			last = bench.says(journal.About(job, "LF", ""), "io", torque("80 N.m", "banjo bolt"))
		}
	}
	book := record.NewBook(officeHub)
	for _, l := range bench.log {
		book.Add(l)
	}
	return book
}

func BenchmarkFold(b *testing.B) {
	for _, n := range []int{400, 20_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			book := season(b, n)
			for b.Loop() {
				book.Shop()
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/entry")
		})
	}
}

func BenchmarkAdd(b *testing.B) {
	bench := newTablet(b, "bench-1")
	bench.says(one("LF", ""), "io", torque("80 N.m", "banjo bolt"))
	for b.Loop() {
		record.NewBook(officeHub).Add(bench.log[0])
	}
}

func BenchmarkJSON(b *testing.B) {
	job := season(b, 400).Shop().Jobs[0]
	for b.Loop() {
		if _, err := job.JSON(record.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
