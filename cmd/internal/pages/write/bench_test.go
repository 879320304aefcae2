package write_test

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/media/mediatest"
)

// bigShop has two thousand jobs that were handed back or are nearly done, and
// one that is worked on.
func bigShop(b *testing.B) *shop {
	s := bare(b)
	var last journal.EntryID
	put := func(about journal.Subject, data journal.Payload) {
		e, err := s.f.Log.Append(b.Context(), journal.Draft{Subject: about, By: "io", Data: data})
		if err != nil {
			b.Fatal(err)
		}
		last = e.ID
	}
	put("person/io", &journal.Person{Person: "io", Initials: "IO", Duties: []journal.Duty{"bench"}})
	put("tool/tw-1", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	for i := range 2000 {
		id := journal.JobID(fmt.Sprintf("j%07d", i))
		if i == 1999 {
			id = one
		}
		put(journal.About(id, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprintf("TRL %04d", i)}, Corners: []journal.Corner{"LF", "RF"}})
		for _, c := range []journal.Corner{"LF", "RF"} {
			p := journal.About(id, c, "caliper")
			put(p, &journal.Removal{})
			put(p, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
			put(p, &journal.Blasting{Media: "glass bead"})
			if i < 1999 {
				put(p, &journal.Masking{Features: []journal.Item{{What: "piston bore", Count: 1}}, Plugs: 3})
			}
		}
		if i < 1900 {
			put(journal.About(id, "", ""), &journal.Release{})
		}
	}
	if _, err := s.live.Await(b.Context(), last); err != nil {
		b.Fatal(err)
	}
	return s
}

// p95 is what nineteen of twenty took no longer than.
func p95(took []time.Duration) float64 {
	slices.Sort(took)
	return float64(took[len(took)*95/100]) / float64(time.Millisecond)
}

func BenchmarkStagePage(b *testing.B) {
	s := bigShop(b)
	var took []time.Duration
	for b.Loop() {
		begun := time.Now()
		if p := s.get(maskPage); p.status != http.StatusOK {
			b.Fatal(p.status, p.body)
		}
		took = append(took, time.Since(begun))
	}
	b.ReportMetric(p95(took), "p95-ms")
}

// From the press until the browser is sent on, with the entry on the disk and
// in the record.
func BenchmarkSave(b *testing.B) {
	s := bigShop(b)
	var took []time.Duration
	for i := 0; b.Loop(); i++ {
		_, action, token := s.open(maskPage + "?kind=bore.masked")
		all := with(masked(), url.Values{"plugs": {fmt.Sprint(i + 1)}, "once": {token}, "do": {"save"}})
		begun := time.Now()
		if p := s.press(action, all); p.status != http.StatusSeeOther {
			b.Fatal(p.status, p.body)
		}
		took = append(took, time.Since(begun))
	}
	b.ReportMetric(p95(took), "p95-ms")
}

func BenchmarkFigure(b *testing.B) {
	s := bigShop(b)
	_, action, token := s.open(maskPage + "?kind=bore.masked")
	var took []time.Duration
	for b.Loop() {
		begun := time.Now()
		if p := s.post(action, with(masked(), url.Values{"once": {token}, "do": {"draft"}}), "figure"); p.status != http.StatusOK {
			b.Fatal(p.status, p.body)
		}
		took = append(took, time.Since(begun))
	}
	b.ReportMetric(p95(took), "p95-ms")
}

// A photograph of twelve megapixels, taken in and then stamped: the two waits
// that a person has for one entry.
func BenchmarkPhotograph(b *testing.B) {
	s := bigShop(b)
	s.body = 64 << 20
	s.start()
	var shutter, stamp []time.Duration
	for i := 0; b.Loop(); i++ {
		b.StopTimer()
		taken := upload{field: "picture", name: "photo.jpg", bytes: mediatest.JPEG(mediatest.Corners(4000, 3000), 60+i%30, nil)}
		_, action, token := s.open(maskPage + "?kind=bore.masked")
		b.StartTimer()
		begun := time.Now()
		if p := s.post(action, url.Values{"once": {token}, "do": {"photo"}}, "photos", taken); p.status != http.StatusOK {
			b.Fatal(p.status, p.body)
		}
		shutter = append(shutter, time.Since(begun))
		begun = time.Now()
		if p := s.post(action, with(masked(), url.Values{"plugs": {fmt.Sprint(i + 1)}, "once": {token}, "do": {"save"}}), ""); p.status != http.StatusSeeOther {
			b.Fatal(p.status, p.body)
		}
		stamp = append(stamp, time.Since(begun))
	}
	b.ReportMetric(p95(shutter), "shutter-p95-ms")
	b.ReportMetric(p95(stamp), "stamp-p95-ms")
}
