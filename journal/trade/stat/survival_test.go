package stat_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal/trade/stat"
)

// freireich returns the remission times under 6-MP of Freireich et al., Blood 21 (1963)
// 699-716, in weeks, as they stand in textbooks of survival analysis.
func freireich() (lives []stat.Life) {
	for _, text := range strings.Fields("6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+") {
		var l stat.Life
		text, still := strings.CutSuffix(text, "+")
		fmt.Sscan(text, &l.Time)
		l.Seen = !still
		lives = append(lives, l)
	}
	return lives
}

// Shares and standard errors as textbooks print them for these times (Cox and Oakes,
// Analysis of Survival Data, 1984, from memory; computed anew with R's survfit below).
func TestKaplanMeierPublished(t *testing.T) {
	s := ok[stat.Survival](t)(stat.KaplanMeier(freireich(), 0.95))
	for _, want := range []struct{ time, good, se float64 }{
		{6, 0.857143, 0.07636}, {7, 0.806723, 0.086935}, {10, 0.752941, 0.09635}, {13, 0.690196, 0.10681},
		{16, 0.627451, 0.11405}, {22, 0.537815, 0.12823}, {23, 0.448179, 0.13459},
	} {
		at := s.At(want.time)
		agree(t, fmt.Sprint(want.time), "share", at.Good, want.good, 1e-5)
		agree(t, fmt.Sprint(want.time), "standard error", at.StandardError, want.se, 1e-4)
	}
	if got := s.At(5.9); got.Good != 1 || got.AtRisk != 21 {
		t.Errorf("before the first: %+v", got)
	}
	if got := s.At(100); got.AtRisk != 0 {
		t.Errorf("after the last: %+v", got)
	}
	if len(s.Guards) != 1 {
		t.Errorf("guards: %q", s.Guards)
	}
}

func TestSurvivalAgainstR(t *testing.T) {
	random := rand.New(rand.NewPCG(58, 457))
	samples := [][]stat.Life{freireich()}
	for n := 1; n <= 60; n += 3 {
		var lives []stat.Life
		for range n {
			lives = append(lives, stat.Life{Time: float64(random.IntN(30)), Seen: random.IntN(3) > 0})
		}
		samples = append(samples, lives)
	}
	var cases []string
	for i, lives := range samples {
		line := fmt.Sprintf("lives %v", level(i))
		for _, l := range lives {
			line += fmt.Sprintf(" %v %d", l.Time, map[bool]int{true: 1}[l.Seen])
		}
		cases = append(cases, line)
	}
	for i, want := range run(t, cases, []string{"--vanilla", "-e", "library(survival)"}, "Rscript", "--vanilla", filepath.Join("testdata", "survival.R")) {
		s := ok[stat.Survival](t)(stat.KaplanMeier(samples[i], level(i)))
		if len(want) != 7*len(s.Steps) {
			t.Fatalf("case %d: R has %d figures for %d steps", i, len(want), len(s.Steps))
		}
		for k, step := range s.Steps {
			about := fmt.Sprintf("case %d, step %d", i, k)
			for f, got := range []float64{step.Time, float64(step.AtRisk), float64(step.Defects), step.Good, step.StandardError, step.Low, step.High} {
				if expect := want[7*k+f]; !math.IsNaN(expect) { // R gives no interval once none is left
					agree(t, about, []string{"time", "at risk", "defects", "share", "standard error", "low", "high"}[f], got, expect, 1e-9)
				}
			}
		}
	}
}

func TestLivesThatCannotBe(t *testing.T) {
	for rule, lives := range map[error][]stat.Life{
		stat.ErrTooFew:     nil,
		stat.ErrNegative:   {{Time: -1}},
		stat.ErrNotANumber: {{Time: math.NaN()}},
	} {
		if _, err := stat.KaplanMeier(lives, 0.95); !errors.Is(err, rule) {
			t.Errorf("%v: %v, want %v", lives, err, rule)
		}
	}
}

func TestSurvivalInWords(t *testing.T) {
	s := ok[stat.Survival](t)(stat.KaplanMeier(freireich(), 0.95))
	if got := s.Say(); !strings.HasPrefix(got, "after 17 days 63 % of the parts are still good") {
		t.Error(got)
	}
	for want, lives := range map[string][]stat.Life{
		"none of 2 parts that were seen again had the defect, the last of them after 90 days":    {{Time: 30}, {Time: 90}},
		"1 of 3 parts that were seen again had the defect, too few to say how it goes over time": {{Time: 30}, {Time: 90}, {Time: 40, Seen: true}},
		"the only part that was seen again had the defect":                                       {{Time: 30, Seen: true}},
		"the only part that was seen again, after 1 day, was without the defect":                 {{Time: 1}},
	} {
		if got := ok[stat.Survival](t)(stat.KaplanMeier(lives, 0.95)).Say(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
