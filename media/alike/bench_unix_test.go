//go:build unix

package alike_test

import (
	"image"
	"syscall"
	"testing"
	"time"

	"fettlebook/media/alike"
	"fettlebook/media/mediatest"
)

// BenchmarkSame looks at a copy of 4 MB.
func BenchmarkSame(b *testing.B) {
	for name, img := range map[string]*image.NRGBA{"noise": mediatest.Noise(2300, 1750, 1), "scene": scene(4000, 3000, 1)} {
		copied, small := snap(b, mediatest.JPEG(img, 89, nil))
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(copied)))
			begun := processor(b)
			for b.Loop() {
				if same, err := alike.Same(b.Context(), copied, small); err != nil || !same {
					b.Fatal(same, err)
				}
			}
			b.ReportMetric(float64((processor(b)-begun).Microseconds())/1000/float64(b.N), "processor-ms/op")
		})
	}
}

// processor is how long the processor worked for this program.
func processor(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
