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
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/journaltest"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
)

// table reads a published table, with its source.
func table[T any](t *testing.T, name string) (published T) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", "stat", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &published); err != nil {
		t.Fatal(err)
	}
	return published
}

// publishedExample is what is loaded of it, what recur --json has to say
// of that, and the case that R works out anew.
type publishedExample struct {
	name, source string
	load         func(x *counted, pattern string, day time.Time)
	ask          string // the case for R, but for figures that the study gives
	read         func(t *testing.T, s *recur.Study) []float64
	published    []float64
	decimals     int
	r            float64 // how far R's figures may be away
}

// examples lists them. Of Benjamini and Hochberg's there are only p-values, which
// no castings have: their table is held against package stat, and here R adjusts
// the p-values of a study. The handbook's charts of counts and of readings are
// not among them either: a study judges parts, and charts no others.
func examples(t *testing.T) (list []publishedExample) {
	list = append(list, proportions(t), gaps(), admissions(t), adjusted(), remission())
	one := table[struct {
		Citation string
		Decimals int
		Cases    []struct {
			Defects, Parts int
			Wilson         []float64
		}
	}](t, "newcombe-1998-one-sample.json")
	for _, c := range one.Cases {
		list = append(list, publishedExample{
			name: fmt.Sprintf("%d of %d", c.Defects, c.Parts), source: one.Citation, ask: fmt.Sprintf("one %d %d", c.Defects, c.Parts), published: c.Wilson, decimals: one.Decimals, r: 1e-9,
			load: func(x *counted, pattern string, day time.Time) {
				x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: day, parts: c.Parts, bad: c.Defects})
			},
			read: func(t *testing.T, s *recur.Study) []float64 {
				return []float64{s.Rates[0].Rate.Rate.Low, s.Rates[0].Rate.Rate.High}
			},
		})
	}
	two := table[struct {
		Citation string
		Decimals int
		Cases    []struct {
			First, Second []int
			Interval      []float64
		}
	}](t, "newcombe-1998-two-samples.json")
	for _, c := range two.Cases {
		list = append(list, publishedExample{
			name: fmt.Sprintf("%d of %d against %d of %d", c.First[0], c.First[1], c.Second[0], c.Second[1]), source: two.Citation, published: c.Interval, decimals: two.Decimals, r: 1e-9,
			ask: fmt.Sprintf("two %d %d %d %d", c.First[0], c.First[1], c.Second[0], c.Second[1]),
			load: func(x *counted, pattern string, day time.Time) {
				x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: day, parts: c.First[1], bad: c.First[0]})
				x.add(castings{kind: "caliper", pattern: pattern, wash: "wipe", day: day.AddDate(0, 0, 1), parts: c.Second[1], bad: c.Second[0]})
			},
			read: func(t *testing.T, s *recur.Study) []float64 {
				f := s.Of(parts.Degreaser)
				if f.Effect == nil {
					t.Fatalf("%+v", f)
				}
				low, high := f.Effect.Size.Low, f.Effect.Size.High
				if f.Split != "bath" {
					low, high = -high, -low
				}
				return []float64{low, high}
			},
		})
	}
	return list
}

func proportions(t *testing.T) publishedExample {
	published := table[struct {
		Citation string
		Parts    int
		Defects  []int
		Centre   float64
		Limits   []float64
		Out      []int
	}](t, "nist-p-chart.json")
	return publishedExample{
		name: "p-chart", source: published.Citation, published: append([]float64{published.Centre}, published.Limits...), decimals: 6, r: 1e-12,
		ask: fmt.Sprintf("pchart %d %s", published.Parts, spaced(published.Defects)),
		load: func(x *counted, pattern string, day time.Time) {
			for month, bad := range published.Defects {
				x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: day.AddDate(0, month, 0), parts: published.Parts, bad: bad})
			}
		},
		read: func(t *testing.T, s *recur.Study) []float64 {
			chart := s.Course.Chart
			if chart == nil || chart.Kind != stat.P || len(chart.Points) != len(published.Defects) {
				t.Fatalf("%+v", chart)
			}
			var out []int
			for _, i := range chart.Out() {
				out = append(out, i+1)
			}
			if !slices.Equal(out, published.Out) {
				t.Errorf("out are %v, want %v", out, published.Out)
			}
			return []float64{chart.Centre, chart.Points[0].Low, chart.Points[0].High}
		},
	}
}

// gaps are invented; the limits of their chart follow Kaminsky and others, J.
// Qual. Technol. 24 (1992) 63-69.
func gaps() publishedExample {
	good := []int{23, 41, 7, 30, 55, 12, 18, 64, 9, 26, 3, 1, 2}
	return publishedExample{
		name: "g-chart", source: "formulas of Kaminsky et al., 1992", published: []float64{22.384615, 91.022073}, decimals: 6, r: 1e-12, ask: "gchart " + spaced(good),
		load: func(x *counted, pattern string, day time.Time) {
			x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: day, parts: 1, bad: 1})
			for i, n := range good {
				on := day.AddDate(0, i+1, 0)
				x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: on.AddDate(0, 0, -1), parts: n})
				x.add(castings{kind: "caliper", pattern: pattern, wash: "bath", day: on, parts: 1, bad: 1})
			}
		},
		read: func(t *testing.T, s *recur.Study) []float64 {
			chart := s.Course.Chart
			if chart == nil || chart.Kind != stat.G || len(chart.Points) != len(good) {
				t.Fatalf("%+v", chart)
			}
			for i, p := range chart.Points {
				if p.Value != float64(good[i]) {
					t.Errorf("gap %d is %v, want %d", i, p.Value, good[i])
				}
			}
			return []float64{chart.Centre, chart.Points[0].High}
		},
	}
}

// admissions are people as castings: a department is a kind of part, who was
// admitted has a pinhole, and men and women were washed in different baths.
func admissions(t *testing.T) publishedExample {
	published := table[struct {
		Citation    string
		Departments []struct {
			Name  string
			Table []int
		}
		Crude      float64
		Pooled     []float64
		Agreement  float64
		AgreementP float64 `json:"agreement_p"`
	}](t, "berkeley-admissions.json")
	ask := "strata"
	for _, d := range published.Departments {
		ask += " " + spaced(d.Table)
	}
	return publishedExample{
		name: "admissions", source: published.Citation, decimals: 4, r: 1e-5, ask: ask,
		published: append(slices.Clone(published.Pooled), published.Crude, math.NaN(), published.Agreement, published.AgreementP),
		load: func(x *counted, pattern string, day time.Time) {
			for i, d := range published.Departments {
				x.add(castings{kind: strings.ToLower(d.Name), pattern: pattern, wash: "men", day: day.AddDate(0, 0, 2*i), parts: d.Table[0] + d.Table[1], bad: d.Table[0]})
				x.add(castings{kind: strings.ToLower(d.Name), pattern: pattern, wash: "women", day: day.AddDate(0, 0, 2*i+1), parts: d.Table[2] + d.Table[3], bad: d.Table[2]})
			}
		},
		read: func(t *testing.T, s *recur.Study) []float64 {
			f := s.Of(parts.Degreaser)
			if f.Pooled == nil || f.Pooled.Agreement == nil || f.Known != 4526 || f.Stands || !f.Pooled.Disagree() {
				t.Fatalf("%+v", f)
			}
			odds, crude := f.Pooled.OddsRatio, f.Pooled.Crude.Value
			if f.Split != "men" {
				odds.Value, odds.Low, odds.High, crude = 1/odds.Value, 1/odds.High, 1/odds.Low, 1/crude
			}
			return []float64{odds.Value, odds.Low, odds.High, crude, f.P, f.Pooled.Agreement.Statistic, f.Pooled.Agreement.P}
		},
	}
}

func adjusted() publishedExample {
	return publishedExample{
		name: "adjusted", source: "Benjamini and Hochberg, 1995, by p.adjust", ask: "adjust", r: 1e-9,
		load: func(x *counted, pattern string, day time.Time) {
			for i := range 6 {
				x.add(castings{kind: "caliper", pattern: pattern, wash: []string{"bath", "wipe"}[i%2], day: day.AddDate(0, 0, 5*i), parts: 40, bad: []int{12, 3, 5, 1, 9, 2}[i]})
			}
		},
		read: func(t *testing.T, s *recur.Study) (figures []float64) {
			for _, f := range s.Factors {
				if f.Split != "" {
					figures = append(figures, f.Adjusted)
				}
			}
			if len(figures) != s.Tested || len(figures) < 3 {
				t.Fatalf("%d factors, and %d were tried", len(figures), s.Tested)
			}
			return figures
		},
	}
}

// remission are weeks under 6-MP (Freireich et al., Blood 21 (1963) 699-716);
// those below 0 were still well when last seen. The shares are as textbooks
// print them (Cox and Oakes, Analysis of Survival Data, 1984, from memory).
func remission() publishedExample {
	weeks := []int{6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35}
	const week = 7 * 24 * time.Hour
	ask := "lives"
	for _, w := range weeks {
		ask += fmt.Sprintf(" %d %d", 7*max(w, -w), map[bool]int{true: 1}[w > 0])
	}
	return publishedExample{
		name: "days to a late defect", source: "Freireich et al., 1963", ask: ask, decimals: 6, r: 1e-9,
		published: []float64{0.857143, 0.806723, 0.752941, 0.690196, 0.627451, 0.537815, 0.448179},
		load: func(x *counted, pattern string, day time.Time) {
			for _, w := range weeks {
				c := castings{kind: "caliper", pattern: pattern, wash: "bath", day: day, parts: 1}
				if w > 0 {
					c.late = week * time.Duration(w)
				} else {
					c.heard = week * time.Duration(-w)
				}
				x.add(c)
			}
		},
		read: func(t *testing.T, s *recur.Study) (figures []float64) {
			if s.Late == nil || s.Late.HandedBack != 21 || s.Late.Heard != 21 || s.Late.Good == nil {
				t.Fatalf("%+v", s.Late)
			}
			var errs []float64
			for _, step := range s.Late.Good.Steps {
				if step.Defects > 0 {
					figures, errs = append(figures, step.Good), append(errs, step.StandardError)
				}
			}
			return append(figures, errs...)
		},
	}
}

func spaced(list []int) string { return strings.Trim(fmt.Sprint(list), "[]") }

// Published examples, loaded as castings through the whole journal and read out
// of recur --json, come to what was published, and to what R makes of the same
// counts now.
func TestPublishedExamples(t *testing.T) {
	t.Parallel()
	list := journaltest.Rows(t, 3, examples(t))
	x := new(counted)
	begun := time.Date(2022, 1, 3, 7, 30, 0, 0, time.UTC)
	pattern := func(i int) string { return fmt.Sprintf("example-%d", i+1) }
	for i, e := range list {
		e.load(x, pattern(i), begun.AddDate(0, 0, i))
	}
	now := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	dir := t.TempDir()
	writer := &terminal{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard, Now: func() time.Time { return now }, Rand: rand.Reader, Logger: slog.New(slog.DiscardHandler)}
	all, err := writeSteps(t.Context(), writer, dir, x.inOrder(), nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d entries", all.Entries)
	var cases []string
	var figures [][]float64
	for i, e := range list {
		var out, errOut bytes.Buffer
		if code := run(context.Background(), []string{"recur", "--json", "--defect", "pinhole", "pattern=" + pattern(i), "--data", dir}, strings.NewReader(""), &out, &errOut); code != 0 {
			t.Fatalf("%s: recur ended with %d: %s", e.name, code, &errOut)
		}
		var s recur.Study
		if err := json.Unmarshal(out.Bytes(), &s); err != nil {
			t.Fatal(err)
		}
		t.Run(e.name, func(t *testing.T) {
			got := e.read(t, &s)
			figures = append(figures, got)
			for k, want := range e.published {
				if !math.IsNaN(want) && !(math.Abs(got[k]-want) <= 0.5000001*math.Pow10(-e.decimals)) {
					t.Errorf("figure %d is %.9g, and published is %.*f (%s)", k+1, got[k], e.decimals, want, e.source)
				}
			}
		})
		if e.ask == "adjust" {
			for _, f := range s.Factors {
				if f.Split != "" {
					e.ask += " " + strconv.FormatFloat(f.P, 'g', 17, 64)
				}
			}
		}
		cases = append(cases, e.ask)
	}
	if t.Failed() {
		return
	}
	for i, want := range askR(t, cases) {
		if len(want) != len(figures[i]) {
			t.Errorf("%s: R has %d figures for %d", list[i].name, len(want), len(figures[i]))
			continue
		}
		for k := range want {
			if !(math.Abs(figures[i][k]-want[k]) <= list[i].r) {
				t.Errorf("%s: figure %d is %.12g, and R says %.12g", list[i].name, k+1, figures[i][k], want[k])
			}
		}
	}
}

// askR has R work out cases, a line each. Without R nothing is compared with it,
// unless FETTLEBOOK_REQUIRE_OUTSIDE=1.
func askR(t *testing.T, cases []string) (figures [][]float64) {
	t.Helper()
	path, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
			t.Fatal(err)
		}
		t.Skip("R is not installed, so nothing is compared with it")
	}
	r := exec.CommandContext(t.Context(), path, "--vanilla", filepath.Join("testdata", "published.R"))
	r.Stdin = strings.NewReader(strings.Join(cases, "\n") + "\n")
	out, err := r.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for line := range strings.Lines(string(out)) {
		var row []float64
		for _, word := range strings.Fields(line) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("R says %q", out)
			}
			row = append(row, x)
		}
		figures = append(figures, row)
	}
	if len(figures) != len(cases) {
		t.Fatalf("R answered %d of %d cases", len(figures), len(cases))
	}
	return figures
}
