//go:build unix

package shop_test

import (
	"cmp"
	"os"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// sizes are the histories that are measured: FETTLEBOOK_BENCH_SIZES, or a
// small one.
func sizes(b *testing.B) (list []int) {
	for _, word := range strings.Fields(cmp.Or(os.Getenv("FETTLEBOOK_BENCH_SIZES"), "10000")) {
		n, err := strconv.Atoi(word)
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, n)
	}
	return list
}

// measuring is what rows of one size share.
type measuring struct {
	entries int
	first   map[string]float64 // metrics of the first size
	path    string             // of the log; its index lies beside it
}

// took are the times of many tries, by the wall and on the processors, which
// other work on the machine does not lengthen.
type took struct{ wall, spent []time.Duration }

// moment is when a try began.
type moment struct {
	at    time.Time
	spent time.Duration
}

func begin() moment { return moment{time.Now(), spent()} }

// spent is the time on processors that the process took.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func (t *took) since(m moment) { t.add(time.Since(m.at), spent()-m.spent) }

func (t *took) add(wall, spent time.Duration) {
	t.wall, t.spent = append(t.wall, wall), append(t.spent, spent)
}

// percentile is of a list that has any.
func percentile(list []time.Duration, p int) time.Duration {
	sorted := slices.Sorted(slices.Values(list))
	return sorted[min(len(sorted)*p/100, len(sorted)-1)]
}

// report reports the middle and the slow end of times; of the slow end also
// how it grows with the size.
func (m *measuring) report(b *testing.B, name string, t took) {
	slow := milliseconds(percentile(t.wall, 95))
	b.ReportMetric(milliseconds(percentile(t.wall, 50)), name+"-p50-ms")
	b.ReportMetric(slow, name+"-p95-ms")
	b.ReportMetric(milliseconds(percentile(t.spent, 95)), name+"-p95-cpu-ms")
	if first, ok := m.first[name]; ok {
		b.ReportMetric(slow/first, name+"-p95-of-first")
	} else {
		m.first[name] = slow
	}
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// must passes a value on.
func must[T any](v T, err error) func(testing.TB) T {
	return func(tb testing.TB) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}
