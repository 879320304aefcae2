package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// BenchmarkFigureBake judges a log of ten million samples with the whole program. It is
// to stay below 2 s and 200 MiB.
func BenchmarkFigureBake(b *testing.B) {
	const samples = 10_000_000
	file := filepath.Join(b.TempDir(), "log.csv")
	writeLog(b, file, samples)
	var most int64
	var slowest time.Duration
	for b.Loop() {
		c := exec.Command("fettlebook", "figure", "bake", file, "--schedule", "20 min @ 180 °C", "--schedule", "10 min @ 200 °C", "--probe", "part=left caliper")
		begun := time.Now()
		if out, err := c.CombinedOutput(); err != nil {
			b.Fatalf("%v: %s", err, out)
		}
		slowest = max(slowest, time.Since(begun))
		if used, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
			most = max(most, int64(used.Maxrss)) // KiB on Linux
		}
	}
	b.ReportMetric(slowest.Seconds(), "s-at-most")
	b.ReportMetric(float64(most)/1024, "MiB-at-most")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/samples, "ns/sample")
}

func writeLog(b *testing.B, file string, samples int) {
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	w := bufio.NewWriterSize(f, 1<<20)
	fmt.Fprintln(w, "s;part °C")
	for i := range samples {
		fmt.Fprintf(w, "%d;%d,%d\n", i, 180+i%20, i%10)
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
}
