package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
)

// examples is a shop whose castings are those of published examples, told apart
// by their pattern.
type examples struct {
	plan  *invented.Plan
	bakes int
}

func newExamples() *examples {
	begun := time.Date(2022, 1, 3, 7, 30, 0, 0, time.UTC)
	return &examples{plan: &invented.Plan{
		Setting: invented.Setting{Begun: begun, Days: 900}, MediaChanged: []time.Time{begun}, FilterChanged: []time.Time{begun},
		Lots: []invented.Lot{{ID: "L001", Colour: "signal red", Chemistry: journal.PolyesterHAA, Opened: begun}},
	}}
}

// casting is what is special about one; the rest is alike in all.
type casting struct {
	degreaser string
	bad       bool
	late      int // days
	heard     int
}

// add takes in calipers of a pattern on a day, up to four a car; those that were
// heard of come alone.
func (x *examples) add(pattern string, day time.Time, list ...casting) {
	for len(list) > 0 {
		n := min(len(list), len(journal.OnVehicle()))
		if list[0].heard > 0 {
			n = 1
		}
		number := len(x.plan.Jobs) + 1
		x.bakes++
		j := &invented.Job{ID: journal.JobID(jobName(number)), Number: number, Card: 1, Day: day, Back: day.AddDate(0, 0, 1).Add(8 * time.Hour), Heard: list[0].heard}
		for i, c := range list[:n] {
			coat := &invented.Coat{
				Job: j, Number: 1, Day: day, Sprayed: day.Add(6*time.Hour + time.Duration(i)*time.Minute), Corner: journal.OnVehicle()[i], What: "caliper", Pattern: pattern, Metal: journal.Iron,
				Casting: fmt.Sprintf("F%d-%d", number, i), Degreaser: c.degreaser, Media: "glass bead", Bar: 4, BlastMinutes: 200, SoakMetal: 215, SoakMinutes: 30, SoakToPowder: 40, BakeMetal: 195, Lot: x.plan.Lots[0],
				Air: 20, Humidity: 50, Metalled: 25, Charge: 60, Earth: 0.4, Person: "mo", Rack: "1", Hook: fmt.Sprint(i + 1), Bake: x.bakes, Oven: "oven-1", Place: "middle", Film: 80, Face: "bridge", LateDays: c.late,
			}
			if c.bad {
				coat.Look = string(journal.Pinhole)
			}
			j.Coats = append(j.Coats, coat)
		}
		x.plan.Jobs, list = append(x.plan.Jobs, j), list[n:]
	}
}

func jobName(n int) string {
	const letters = "23456789abcdefghjkmnpqrstuvwxyz"
	name := []byte("j2222222")
	for i := len(name) - 1; n > 0; i, n = i-1, n/len(letters) {
		name[i] = letters[n%len(letters)]
	}
	return string(name)
}

// of are n castings of which the first so many are bad.
func of(n, bad int, degreaser string) (list []casting) {
	for i := range n {
		list = append(list, casting{degreaser: degreaser, bad: i < bad})
	}
	return list
}

// Proportions of 30 samples of 50 wafers: NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.3.2.
func wafers() []int {
	return []int{12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6}
}

// remission are weeks under 6-MP (Freireich et al., 1963); those below 0 were
// still well when last seen.
func remission() []int {
	return []int{6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35}
}

// Published examples, loaded as castings through the whole journal and read out
// of recur --json, come to what was published, and to what R makes of the same
// figures now. That of Benjamini and Hochberg is not among them: it is a list of
// p-values, which no castings have; instead R adjusts the p-values of a study.
// The admissions at Berkeley are 4 526 and go through a parts table's CSV
// (journal/recur): as entries they would be a hundred thousand. The wafers are 1 500
// and go through the journal if FETTLEBOOK_INVENTED is "all"; by default they are
// the table that the journal gives (journal/invented).
func TestPublishedExamples(t *testing.T) {
	x, tabled := newExamples(), newExamples()
	wide := tabled
	if os.Getenv("FETTLEBOOK_INVENTED") == "all" {
		wide = x
	}
	for month, bad := range wafers() {
		wide.add("wafers", x.plan.Begun.AddDate(0, month, 7), of(50, bad, "bath")...)
	}
	day := x.plan.Begun.AddDate(0, 3, 0)
	x.add("one", day, of(263, 81, "bath")...)
	x.add("two", day.AddDate(0, 0, 1), of(70, 56, "bath")...) // all of a day are washed together
	x.add("two", day.AddDate(0, 0, 2), of(80, 48, "wipe")...)
	for _, weeks := range remission() {
		c := casting{degreaser: "bath", heard: 7 * max(weeks, -weeks)}
		if weeks > 0 {
			c.bad, c.late = true, 7*weeks
		}
		x.add("remission", day, c)
	}
	now := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	dir := t.TempDir()
	writer := &terminal{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard, Now: func() time.Time { return now }, Rand: rand.Reader, Logger: slog.New(slog.DiscardHandler)}
	n, err := writeYear(t.Context(), writer, dir, x.plan, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d entries", n)
	ask := func(pattern string) (s recur.Study) {
		t.Helper()
		if pattern == "wafers" && wide == tabled {
			filter, err := parts.ParseFilter("pattern=wafers")
			if err != nil {
				t.Fatal(err)
			}
			study, err := recur.Of(tabled.plan.Table(), recur.Question{Defect: "pinhole", Filter: filter})
			if err != nil {
				t.Fatal(err)
			}
			return *study
		}
		var out, errOut bytes.Buffer
		if code := run(context.Background(), []string{"recur", "--json", "--defect", "pinhole", "pattern=" + pattern, "--data", dir}, strings.NewReader(""), &out, &errOut); code != 0 {
			t.Fatalf("recur ended with %d: %s", code, &errOut)
		}
		if err := json.Unmarshal(out.Bytes(), &s); err != nil {
			t.Fatal(err)
		}
		return s
	}

	t.Run("p-chart", func(t *testing.T) {
		chart := ask("wafers").Course.Chart
		if chart == nil || chart.Kind != stat.P || len(chart.Points) != 30 {
			t.Fatalf("%+v", chart)
		}
		same(t, "published", 1e-5, []float64{chart.Centre, chart.Points[0].Low, chart.Points[0].High}, []float64{0.231333, 0.052428, 0.410239})
		if out := chart.Out(); !slices.Equal(out, []int{14, 22}) {
			t.Errorf("out are %v, want the 15th and the 23rd", out)
		}
		same(t, "R", 1e-12, []float64{chart.Centre, chart.Points[0].Low, chart.Points[0].High}, askR(t, `x <- c(`+commas(wafers())+`); p <- mean(x/50); s <- 3*sqrt(p*(1-p)/50); cat(format(c(p, p-s, p+s), digits=17))`))
	})
	t.Run("one proportion", func(t *testing.T) {
		rate := ask("one").Rates[0].Rate.Rate
		same(t, "published", 5e-5, []float64{rate.Low, rate.High}, []float64{0.2553, 0.3662})
		same(t, "R", 1e-9, []float64{rate.Low, rate.High}, askR(t, `cat(format(prop.test(81, 263, correct=FALSE)$conf.int, digits=17))`))
	})
	t.Run("a difference", func(t *testing.T) {
		s := ask("two")
		i := slices.IndexFunc(s.Factors, func(f recur.Factor) bool { return f.Name == "degreaser" })
		if i < 0 || s.Factors[i].Effect == nil {
			t.Fatalf("the degreaser is at %d of %d: %+v", i, len(s.Factors), s.Factors[max(i, 0)])
		}
		d := s.Factors[i].Effect.Size
		if d.Value < 0 {
			d.Low, d.Value, d.High = -d.High, -d.Value, -d.Low
		}
		same(t, "published", 5e-5, []float64{d.Value, d.Low, d.High}, []float64{0.2, 0.0524, 0.3339})
		same(t, "R", 1e-9, []float64{d.Low, d.High}, askR(t, `a <- prop.test(56,70,correct=FALSE)$conf.int; b <- prop.test(48,80,correct=FALSE)$conf.int; p <- 56/70; q <- 48/80
cat(format(c(p-q-sqrt((p-a[1])^2+(b[2]-q)^2), p-q+sqrt((a[2]-p)^2+(q-b[1])^2)), digits=17))`))
	})
	t.Run("adjusted", func(t *testing.T) {
		s := ask("wafers")
		var p []string
		var got []float64
		for _, f := range s.Factors {
			p, got = append(p, strconv.FormatFloat(f.P, 'g', 17, 64)), append(got, f.Adjusted)
		}
		if len(p) < 3 {
			t.Fatalf("only %d factors were tried", len(p))
		}
		same(t, "R", 1e-9, got, askR(t, fmt.Sprintf(`cat(format(p.adjust(c(%s), "BH"), digits=17))`, strings.Join(p, ","))))
	})
	t.Run("days to a late defect", func(t *testing.T) {
		late := ask("remission").Late
		if late.HandedBack != 21 || late.Heard != 21 || late.Good == nil {
			t.Fatalf("%+v", late)
		}
		var good, errs []float64
		for _, s := range late.Good.Steps {
			if s.Defects > 0 {
				good, errs = append(good, s.Good), append(errs, s.StandardError)
			}
		}
		same(t, "published", 1e-6, good, []float64{0.857143, 0.806723, 0.752941, 0.690196, 0.627451, 0.537815, 0.448179})
		var weeks []int
		var seen []string
		for _, w := range remission() {
			weeks, seen = append(weeks, max(w, -w)), append(seen, map[bool]string{true: "1", false: "0"}[w > 0])
		}
		same(t, "R", 1e-9, append(good, errs...), askR(t, `library(survival); f <- summary(survfit(Surv(7*c(`+commas(weeks)+`), c(`+strings.Join(seen, ",")+`)) ~ 1)); cat(format(c(f$surv, f$std.err), digits=17))`))
	})
}

func commas(list []int) string {
	return strings.ReplaceAll(strings.Trim(fmt.Sprint(list), "[]"), " ", ",")
}

func same(t *testing.T, as string, within float64, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %v, want %v", as, got, want)
		return
	}
	for i := range got {
		if !(math.Abs(got[i]-want[i]) <= within) {
			t.Errorf("%s: figure %d is %.9g, want %.9g", as, i+1, got[i], want[i])
		}
	}
}

// askR has R work figures out. Without R nothing is compared with it, unless
// FETTLEBOOK_REQUIRE_OUTSIDE=1.
func askR(t *testing.T, program string) (figures []float64) {
	t.Helper()
	path, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
			t.Fatal(err)
		}
		t.Skip("R is not installed, so nothing is compared with it")
	}
	out, err := exec.CommandContext(t.Context(), path, "-e", program).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, word := range strings.Fields(string(out)) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatalf("R says %q", out)
		}
		figures = append(figures, x)
	}
	return figures
}
