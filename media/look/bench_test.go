package look_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/gen2brain/jpegn"

	"fettlebook/media/look"
)

// BenchmarkMeasure measures one thumbnail in colour. "ratio" compares that with
// decoding it alone, in the same run.
func BenchmarkMeasure(b *testing.B) {
	raw := encoded(b, imaging.Clone(casting(1)), 82)
	var ours, decoding time.Duration
	for b.Loop() {
		start := time.Now()
		if _, err := look.Measure(b.Context(), raw); err != nil {
			b.Fatal(err)
		}
		ours += time.Since(start)

		b.StopTimer()
		start = time.Now()
		if _, err := jpegn.Decode(bytes.NewReader(raw)); err != nil {
			b.Fatal(err)
		}
		decoding += time.Since(start)
		b.StartTimer()
	}
	b.ReportMetric(float64(ours)/float64(decoding), "ratio")
}
