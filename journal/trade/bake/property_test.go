package bake_test

import (
	"fmt"
	"iter"
	"math"
	"strings"
	"testing"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// each yields what a function makes of 0 to n.
func each(n int, f func(int) string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for i := range n + 1 {
			if !yield(f(i)) {
				return
			}
		}
	}
}

// drawTrace draws a trace that stays below the given temperature, with gaps. Temperatures
// are quarters of a degree off the whole, so that no rounding of °F meets a bound.
func drawTrace(t *rapid.T, below int) samples {
	var trace samples
	second := 0.0
	for range rapid.IntRange(2, 150).Draw(t, "samples") {
		celsius := float64(rapid.IntRange(20, below-1).Draw(t, "celsius")) + 0.25
		if rapid.IntRange(0, 9).Draw(t, "fallen") == 0 {
			celsius = math.NaN()
		}
		trace = append(trace, bake.Sample{Second: second, Celsius: []float64{celsius}})
		second += rapid.SampledFrom([]float64{1, 10, 30, 60, 119, 121, 600}).Draw(t, "step")
	}
	return trace
}

func fractions(t *rapid.T, trace samples, s bake.Schedule, rules bake.Rules) (strict, lenient float64) {
	c := judge(t, trace, s, rules).Channels[0]
	return c.Strict, c.Lenient
}

const slack = 1e-6 // relative, what the integration is allowed

func TestStrictIsNeverAboveLenient(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rules := loose()
		rules.Lenient.Below.Value = rapid.Float64Range(0, 60).Draw(t, "lenient margin")
		rules.Strict.Below.Value = rapid.Float64Range(0, rules.Lenient.Below.Value).Draw(t, "strict margin")
		strict, more := fractions(t, drawTrace(t, 260), drawSchedule(t), rules)
		if strict > more*(1+slack) {
			t.Fatalf("strict %v, lenient %v", strict, more)
		}
	})
}

func TestLongerNeverEarnsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, s := drawTrace(t, 260), drawSchedule(t)
		n := rapid.IntRange(1, len(trace)).Draw(t, "shorter")
		strict, lenient := fractions(t, trace, s, loose())
		lessStrict, lessLenient := fractions(t, trace[:n], s, loose())
		if strict < lessStrict || lenient < lessLenient {
			t.Fatalf("after %d samples %v and %v, at the end %v and %v", n, lessStrict, lessLenient, strict, lenient)
		}
	})
}

func TestHotterNeverEarnsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, s := drawTrace(t, 230), drawSchedule(t)
		rise := rapid.Float64Range(0, 30).Draw(t, "rise")
		var hotter samples
		for _, sample := range trace {
			hotter = append(hotter, bake.Sample{Second: sample.Second, Celsius: []float64{sample.Celsius[0] + rise}})
		}
		strict, lenient := fractions(t, trace, s, loose())
		moreStrict, moreLenient := fractions(t, hotter, s, loose())
		if moreStrict < strict*(1-slack) || moreLenient < lenient*(1-slack) {
			t.Fatalf("%v and %v, and %g K hotter %v and %v", strict, lenient, rise, moreStrict, moreLenient)
		}
	})
}

func TestPartsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, s := drawTrace(t, 260), drawSchedule(t)
		at := rapid.IntRange(0, len(trace)-1).Draw(t, "cut")
		trace[at].Celsius[0] = 201.25 // both parts hold the sample at the cut
		strict, lenient := fractions(t, trace, s, loose())
		strict1, lenient1 := fractions(t, trace[:at+1], s, loose())
		strict2, lenient2 := fractions(t, trace[at:], s, loose())
		if math.Abs(strict1+strict2-strict) > 1e-12*(1+strict) || math.Abs(lenient1+lenient2-lenient) > 1e-12*(1+lenient) {
			t.Fatalf("%v + %v is not %v, or %v + %v not %v", strict1, strict2, strict, lenient1, lenient2, lenient)
		}
	})
}

func TestFahrenheitAndCelsiusAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pairs []string
		for i, sample := range drawTrace(t, 260) {
			if !math.IsNaN(sample.Celsius[0]) {
				pairs = append(pairs, fmt.Sprintf("%d:%g", i, sample.Celsius[0]))
			}
		}
		if len(pairs) == 0 {
			return
		}
		s, text := drawSchedule(t), strings.Join(pairs, " ")
		a := judge(t, memory(t, text, bake.Celsius), s, loose())
		b := judge(t, memory(t, text, bake.Fahrenheit), s, loose())
		x, y := a.Channels[0], b.Channels[0]
		for _, pair := range [][2]float64{{x.Strict, y.Strict}, {x.Lenient, y.Lenient}, {x.HeatMinutes, y.HeatMinutes}, {x.Holds[0].Longest, y.Holds[0].Longest}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*(1+pair[0]) {
				t.Fatalf("°C gives %+v\n°F gives %+v", x, y)
			}
		}
		if a.Verdict.Word != b.Verdict.Word {
			t.Fatalf("°C is %s, °F is %s", a.Verdict.Word, b.Verdict.Word)
		}
	})
}

// A bake in a file and the same bake in memory are one.
func TestFileAndSeriesAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		separator := rapid.SampledFrom([]string{";", "\t", ","}).Draw(t, "separator")
		comma := separator != "," && rapid.Bool().Draw(t, "decimal comma")
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")
		file := "min" + separator + "1 °C" + end
		var pairs []string
		for i := range rapid.IntRange(1, 20).Draw(t, "samples") {
			reading := fmt.Sprintf("%.2f", rapid.Float64Range(-50, 250).Draw(t, "celsius"))
			pairs = append(pairs, fmt.Sprintf("%d:%s", i, reading))
			if comma {
				reading = strings.Replace(reading, ".", ",", 1)
			}
			file += fmt.Sprintf("%d%s%s%s", i, separator, reading, end)
		}
		r, err := recorder.NewReader(strings.NewReader(file), recorder.Format{})
		if err != nil {
			t.Fatal(err)
		}
		s := drawSchedule(t)
		a := judge(t, r, s, loose())
		b := judge(t, memory(t, strings.Join(pairs, " "), bake.Celsius), s, loose())
		if fmt.Sprint(a) != fmt.Sprint(b) {
			t.Fatalf("the file gives %+v\nthe series gives %+v", a, b)
		}
	})
}

// What was not read is never worth more than what was: whatever readings are lost, and
// wherever a log ends or begins, it comes to no more.
func TestLosingReadingsNeverEarnsMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		trace, s := drawTrace(t, 260), drawSchedule(t)
		whole := judge(t, trace, s, loose())
		var less samples
		for _, sample := range trace {
			if rapid.IntRange(0, 3).Draw(t, "lost") == 0 {
				sample = bake.Sample{Second: sample.Second, Celsius: []float64{math.NaN()}}
			}
			less = append(less, sample)
		}
		from := rapid.IntRange(0, len(less)-1).Draw(t, "from")
		less = less[from:rapid.IntRange(from+1, len(less)).Draw(t, "to")]
		lost := judge(t, less, s, loose())
		a, b := whole.Channels[0], lost.Channels[0]
		if b.Strict > a.Strict*(1+slack) || b.Lenient > a.Lenient*(1+slack) {
			t.Fatalf("whole %v and %v, with readings lost %v and %v", a.Strict, a.Lenient, b.Strict, b.Lenient)
		}
		for i := range a.Holds {
			if b.Holds[i].Longest > a.Holds[i].Longest*(1+slack) {
				t.Fatalf("held for %v, with readings lost for %v", a.Holds[i].Longest, b.Holds[i].Longest)
			}
		}
		if lost.Verdict.Word == bake.Met && whole.Verdict.Word != bake.Met {
			t.Fatalf("whole: %s; with readings lost: %s", whole.Verdict.Say, lost.Verdict.Say)
		}
	})
}

// A log with a gap is worth what its two ends are worth as logs of their own.
func TestSplitAtAGap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one, two, s := drawTrace(t, 260), drawTrace(t, 260), drawSchedule(t)
		shift := one[len(one)-1].Second + 601 // longer than a tenth of any hold
		joined := append(samples{}, one...)
		for _, sample := range two {
			joined = append(joined, bake.Sample{Second: sample.Second + shift, Celsius: sample.Celsius})
		}
		rules := loose()
		rules.MaxGap = bake.Limit{Value: 10, Unit: "min", Source: "test"}
		a, b, both := judge(t, one, s, rules).Channels[0], judge(t, two, s, rules).Channels[0], judge(t, joined, s, rules).Channels[0]
		if math.Abs(a.Strict+b.Strict-both.Strict) > 1e-9*(1+both.Strict) || math.Abs(a.Lenient+b.Lenient-both.Lenient) > 1e-9*(1+both.Lenient) {
			t.Fatalf("%v + %v is not %v", a.Strict, b.Strict, both.Strict)
		}
		for i := range both.Holds {
			if both.Holds[i].Longest != max(a.Holds[i].Longest, b.Holds[i].Longest) {
				t.Fatalf("held for %v, apart for %v and %v", both.Holds[i].Longest, a.Holds[i].Longest, b.Holds[i].Longest)
			}
		}
	})
}

// From where a probe is not believed on, nothing that it reads changes what it shows.
func TestWhatFollowsASuspicionIsWorthNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSchedule(t)
		at := rapid.IntRange(2, 60).Draw(t, "at")
		var good, odd samples
		for i := range at {
			good = append(good, bake.Sample{Second: float64(30 * i), Celsius: []float64{190 + float64(i%3)}})
		}
		odd = append(odd, good...)
		odd = append(odd, bake.Sample{Second: float64(30 * at), Celsius: []float64{rapid.SampledFrom([]float64{-51, -273.15, -999, 1372, 9999, 20, 250}).Draw(t, "reading")}})
		for _, sample := range drawTrace(t, 260) {
			odd = append(odd, bake.Sample{Second: float64(30*at+1) + sample.Second, Celsius: sample.Celsius})
		}
		a, b := judge(t, good, s, bake.DefaultRules()).Channels[0], judge(t, odd, s, bake.DefaultRules()).Channels[0]
		if a.Strict != b.Strict || a.Lenient != b.Lenient || a.To != b.To || b.Suspect.Second != a.To || !a.Suspect.IsZero() {
			t.Fatalf("good %+v\nodd %+v", a, b)
		}
	})
}

// The integral against Gauss-Legendre quadrature of a hundred points between the bounds.
func TestIntegralOfAnyRamp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSchedule(t)
		low := s.Points()[0].Metal.Value()
		from := rapid.Float64Range(20, 260).Draw(t, "from")
		to := rapid.Float64Range(20, 260).Filter(func(to float64) bool { return to != from }).Draw(t, "to")
		minutes := rapid.Float64Range(0.01, 100).Draw(t, "minutes")
		margin := rapid.Float64Range(0, 100).Draw(t, "margin")
		a, b := max(min(from, to), low-margin), max(from, to)
		want := 0.0
		if b > a {
			want = quad.Fixed(func(celsius float64) float64 { return 1 / s.Required(celsius) }, a, b, 100, quad.Legendre{}, 0)
			want *= minutes / math.Abs(to-from)
		}
		got, _ := fractions(t, samples{{0, []float64{from}}, {minutes * 60, []float64{to}}}, s, bounds(margin, 1000))
		// A millionth of a kelvin below the bound still counts.
		edge := minutes / s.Required(low-margin) * min(1, 2e-6/math.Abs(to-from))
		if math.Abs(got-want) > 1e-6*want+edge {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}
