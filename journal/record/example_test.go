package record_test

import (
	"fmt"
	"os"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
)

func Example() {
	bench := journaltest.NewAuthor("bench-1", journaltest.NewWatch(journaltest.Morning()), "example")
	book := record.NewBook(journal.Authority{})
	for i, d := range []journal.Draft{
		{Subject: "job/4f7kk2m9", By: "io", Data: opening("", "ab 12-cde")},
		{Subject: "job/4f7kk2m9/corner/LF", By: "io", Data: torque("27 N.m", "banjo bolt")},
	} {
		raw, err := bench.Encoded(d)
		if err != nil {
			fmt.Println(err)
			return
		}
		book.Add(journal.Logged{Position: journal.Position{Device: "bench-1", Index: int64(i)}, Bytes: raw})
	}
	for _, v := range book.Shop().Vehicles {
		if err := v.WriteText(os.Stdout, record.Options{}); err != nil {
			fmt.Println(err)
		}
	}
	// Output:
	// VEHICLE  ab 12-cde
	//
	// JOB 4f7kk2m9 — open
	//
	//   2 March 2026, UTC+01:00
	//   08:00  io   opened: plate ab 12-cde
	//
	//   LF
	//     2 March 2026, UTC+01:00
	//     08:00  io   27 N.m on banjo bolt with tw-1
	//
	// This is a record, not an approval. The vehicle maker’s data, local rules and licensed practice
	// come first.
}
