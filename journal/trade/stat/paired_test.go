package stat_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"fettlebook/journal/trade/stat"
)

// student returns the hours of sleep that ten patients gained by one drug more than by
// another: Student, Biometrika 6 (1908) 1-25, after Cushny and Peebles.
func student() []float64 { return []float64{1.2, 2.4, 1.3, 1.3, 0, 1.0, 1.8, 0.8, 4.6, 1.4} }

// The mean is Student's own, the interval the one that R's help on t.test prints for these
// figures.
func TestMeanDifferencePublished(t *testing.T) {
	p := ok[stat.Paired](t)(stat.MeanDifference(student(), 0.95))
	agree(t, "sleep", "mean", p.Mean.Value, 1.58, 1e-12)
	agree(t, "sleep", "low", p.Mean.Low, 0.7001142, 1e-6)
	agree(t, "sleep", "high", p.Mean.High, 2.4598858, 1e-6)
}

func TestMeanDifferenceAgainstR(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 8))
	samples := [][]float64{student()}
	for n := 2; n < 40; n += 3 {
		var list []float64
		for range n {
			list = append(list, random.NormFloat64()*20+float64(n%5))
		}
		samples = append(samples, list)
	}
	var cases []string
	for _, list := range samples {
		cases = append(cases, strings.Trim(fmt.Sprint(list), "[]"))
	}
	const program = `for (line in readLines("stdin")) { i <- t.test(scan(text = line, quiet = TRUE), conf.level = 0.95); cat(format(c(i$estimate, i$conf.int), digits = 15), "\n") }`
	for k, row := range run(t, cases, []string{"--version"}, "Rscript", "--vanilla", "-e", program) {
		p := ok[stat.Paired](t)(stat.MeanDifference(samples[k], 0.95))
		name := fmt.Sprintf("%d differences", len(samples[k]))
		agree(t, name, "mean", p.Mean.Value, row[0], 1e-9)
		agree(t, name, "low", p.Mean.Low, row[1], 1e-7)
		agree(t, name, "high", p.Mean.High, row[2], 1e-7)
	}
}

func TestMeanDifferenceRefuses(t *testing.T) {
	if _, err := stat.MeanDifference([]float64{4}, 0.95); !errors.Is(err, stat.ErrTooFew) {
		t.Errorf("of one: %v", err)
	}
	if _, err := stat.MeanDifference([]float64{4, 2e12}, 0.95); !errors.Is(err, stat.ErrTooLarge) {
		t.Errorf("a slip: %v", err)
	}
	if _, err := stat.MeanDifference(student(), 95); !errors.Is(err, stat.ErrLevel) {
		t.Errorf("95 instead of 0.95: %v", err)
	}
	if p := ok[stat.Paired](t)(stat.MeanDifference([]float64{0, 0, 0}, 0.95)); p.Mean.Low != 0 || p.Mean.High != 0 {
		t.Errorf("all alike: %+v", p.Mean)
	}
}
