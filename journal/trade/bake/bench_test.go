package bake_test

import (
	"io"
	"iter"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
)

// endless writes a log of any length, one line for each second, without keeping it.
type endless struct {
	lines, next int
	rest, line  []byte
}

func (r *endless) Read(p []byte) (n int, err error) {
	for n < len(p) {
		if len(r.rest) == 0 {
			if r.next > r.lines {
				return n, io.EOF
			}
			r.line = append(r.line[:0], "s;part °C\n"...)
			if r.next > 0 {
				r.line = strconv.AppendInt(r.line[:0], int64(r.next), 10)
				r.line = append(r.line, ';')
				r.line = strconv.AppendInt(r.line, int64(180+r.next%20), 10)
				r.line = append(r.line, ',', '0'+byte(r.next%10), '\n')
			}
			r.rest = r.line
			r.next++
		}
		k := copy(p[n:], r.rest)
		r.rest = r.rest[k:]
		n += k
	}
	return n, nil
}

// steady is a trace of any length in memory that is not there.
type steady int

func (s steady) Channels() []string { return []string{"1"} }
func (s steady) Samples() iter.Seq2[bake.Sample, error] {
	return func(yield func(bake.Sample, error) bool) {
		sample := bake.Sample{Celsius: make([]float64, 1)}
		for i := range int(s) {
			sample.Second, sample.Celsius[0] = float64(i), 180+float64(i%20)
			if !yield(sample, nil) {
				return
			}
		}
	}
}

func BenchmarkTenMillionSamples(b *testing.B) {
	const lines = 10_000_000
	s := schedule(b, scheduleA)
	for name, trace := range map[string]func() bake.Trace{
		"file":   func() bake.Trace { return must(recorder.NewReader(&endless{lines: lines}, recorder.Format{})) },
		"memory": func() bake.Trace { return steady(lines) },
	} {
		b.Run(name, func(b *testing.B) {
			runtime.GC()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			for b.Loop() {
				r, err := bake.Judge(trace(), s, bake.DefaultRules(), nil)
				if err != nil || r.Samples != lines {
					b.Fatal(r.Samples, err)
				}
			}
			runtime.ReadMemStats(&after)
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/lines, "ns/sample")
			b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/float64(b.N)/lines, "B/sample")
			b.ReportMetric(float64(after.Sys)/(1<<20), "MiB-from-system")
		})
	}
}

// Thousands of samples more need no more allocations. A handful is left for what the
// runtime itself may allocate meanwhile.
func TestSamplesNeedNoMemory(t *testing.T) {
	s := schedule(t, scheduleA)
	judged := func(trace func() bake.Trace) float64 {
		return testing.AllocsPerRun(5, func() {
			if _, err := bake.Judge(trace(), s, bake.DefaultRules(), nil); err != nil {
				t.Fatal(err)
			}
		})
	}
	line := func(n int) string {
		var b strings.Builder
		b.WriteString("Zeit;1 °C;2 °C\n")
		for i := range n {
			b.WriteString("12.03.2026 10:" + two(i/60%60) + ":" + two(i%60) + ";187,5;\n")
		}
		return b.String()
	}
	short, long := line(300), line(3000)
	for name, traces := range map[string][2]func() bake.Trace{
		"memory": {func() bake.Trace { return steady(1000) }, func() bake.Trace { return steady(100_000) }},
		"file": {
			func() bake.Trace { return must(recorder.NewReader(&endless{lines: 1000}, recorder.Format{})) },
			func() bake.Trace { return must(recorder.NewReader(&endless{lines: 100_000}, recorder.Format{})) },
		},
		"dated": {
			func() bake.Trace { return must(recorder.NewReader(strings.NewReader(short), recorder.Format{})) },
			func() bake.Trace { return must(recorder.NewReader(strings.NewReader(long), recorder.Format{})) },
		},
		"series": {seriesOf(300), seriesOf(30_000)},
	} {
		if few, many := judged(traces[0]), judged(traces[1]); many > few+5 {
			t.Errorf("%s: %v allocations for the short trace, %v for the long one", name, few, many)
		}
	}
}

func two(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

// seriesOf is a maker of traces from one text in memory.
func seriesOf(n int) func() bake.Trace {
	seconds := strings.Join(slices.Collect(each(n-1, strconv.Itoa)), " ")
	readings := strings.TrimSpace(strings.Repeat("187.5 ", n))
	return func() bake.Trace {
		return must(bake.NewSeries(seconds, bake.Celsius, bake.ChannelSeries{Channel: "1", Readings: readings}))
	}
}
