package chart_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"

	"pgregory.net/rapid"
)

// studied is a study of an invented shop, in which one lot was bad.
func studied(t testing.TB, coats int) *recur.Study {
	t.Helper()
	table := invented.Make(invented.Setting{Seed: 7, Parts: coats, Days: 365, Cause: invented.OneLot, Mixed: true}).Table()
	s, err := recur.Of(table, recur.Question{Defect: "pinhole", People: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func factor(t testing.TB, s *recur.Study, name parts.Name) recur.Factor {
	t.Helper()
	for _, f := range s.Factors {
		if f.Name == name {
			return f
		}
	}
	t.Fatalf("there is no factor %s", name)
	return recur.Factor{}
}

// pictures are all that is drawn of a study.
func pictures(t testing.TB, s *recur.Study) map[string]chart.Drawing {
	list := map[string]chart.Drawing{
		"rates": chart.Rates(s.Rates, words.Writing{}), "course": chart.Course(s.Defect, s.Course, words.Writing{}), "changes": chart.Changes(s.Defect, s.Course.Changes, words.Writing{}), "factors": chart.Factors(s.Defect, s.Factors, words.Writing{}),
	}
	for _, f := range s.Factors {
		list["groups of "+string(f.Name)] = chart.Groups(s.Defect, f, words.Writing{})
	}
	if s.Late != nil && s.Late.Good != nil {
		list["good"] = chart.Good(s.Defect, *s.Late.Good, words.Writing{})
	}
	return list
}

// complainer is a test, or one draw of a property.
type complainer interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// within holds a picture to what every picture keeps to: all of it lies in its
// frame, letters too, it has a sentence for who cannot see it, and its table is
// as wide as its head.
func within(t complainer, name string, d chart.Drawing) {
	t.Helper()
	for _, row := range d.Rows {
		if len(row) != len(d.Head) {
			t.Fatalf("%s: the row %q under %q", name, row, d.Head)
		}
	}
	if d.Picture.IsZero() != (d.SVG == "") || d.Picture.IsZero() != d.Narrow.IsZero() {
		t.Fatalf("%s: a picture of nothing", name)
	}
	if d.SVG != "" {
		framed(t, name, d.Picture)
		framed(t, name+" on a narrow page", d.Narrow)
	}
}

func framed(t complainer, name string, p chart.Picture) {
	t.Helper()
	if !strings.HasSuffix(p.Title, "The table has the figures.") {
		t.Errorf("%s: the title %q", name, p.Title)
	}
	in := func(what string, x, y float64) {
		if !(x >= -0.01 && x <= p.Width+0.01 && y >= -0.01 && y <= p.Height+0.01) {
			t.Fatalf("%s: %s lies at %.1f, %.1f of %v by %v", name, what, x, y, p.Width, p.Height)
		}
	}
	for _, s := range p.Shapes {
		switch s := s.(type) {
		case chart.Stroke:
			for _, piece := range s.Pieces {
				for _, at := range piece {
					in("a line "+s.Title, at.X, at.Y)
				}
			}
		case chart.Ring:
			in("a ring", s.At.X-s.Radius, s.At.Y-s.Radius)
			in("a ring", s.At.X+s.Radius, s.At.Y+s.Radius)
		case chart.Text:
			wide := float64(utf8.RuneCountInString(s.Text)) * p.Letter * 0.56
			from := map[chart.Anchor]float64{chart.Start: s.At.X, chart.Middle: s.At.X - wide/2, chart.End: s.At.X - wide}[s.Anchor]
			in("the text "+s.Text, from, s.At.Y)
			in("the text "+s.Text, from+wide, s.At.Y)
		}
	}
}

func TestStudyIsDrawn(t *testing.T) {
	for _, coats := range []int{40, 300, 3000} {
		s := studied(t, coats)
		all := pictures(t, s)
		for name, d := range all {
			within(t, fmt.Sprintf("%s of %d", name, coats), d)
			if d.SVG != "" {
				valid(t, string(d.SVG))
			}
		}
		if coats > 40 && (all["course"].SVG == "" || all["factors"].SVG == "" || all["rates"].SVG == "" || all["groups of powder_lot"].SVG == "") {
			t.Errorf("of %d coats something is not drawn", coats)
		}
	}
}

// The lot that was planted is filled and has its word, and its bar is ruled; ink
// alone shows both.
func TestWhatStandsOutIsMarked(t *testing.T) {
	s := studied(t, 3000)
	lot := factor(t, s, parts.PowderLot)
	if !lot.Stands {
		t.Fatalf("the lot does not stand out: %+v", lot.Pair)
	}
	d := chart.Factors(s.Defect, []recur.Factor{lot}, words.Writing{})
	if svg := string(d.SVG); strings.Count(svg, `fill="currentColor"/>`) != 1 || !strings.Contains(svg, ">stands out</text>") {
		t.Errorf("the lot is not marked: %s", svg)
	}
	d = chart.Groups(s.Defect, lot, words.Writing{})
	there := 0
	for i, g := range lot.Groups {
		if lot.There(i) {
			there++
			if g != (stat.Sample{Name: g.Name, Defects: lot.Pair.First.Defects, Parts: lot.Pair.First.Parts}) {
				t.Errorf("%+v is marked, and %+v shows most", g, lot.Pair.First)
			}
		}
	}
	if there != 1 || len(d.Rows) != len(lot.Groups) {
		t.Errorf("%d groups are marked, %d of %d listed", there, len(d.Rows), len(lot.Groups))
	}
}

// The groups on the side that a cut names add up to that side.
func TestSideOfACut(t *testing.T) {
	s := studied(t, 1000)
	tried := 0
	for _, f := range s.Factors {
		if f.Split == "" {
			continue
		}
		var sum stat.Sample
		for i, g := range f.Groups {
			if f.There(i) {
				sum.Defects, sum.Parts = sum.Defects+g.Defects, sum.Parts+g.Parts
			}
		}
		if tried++; sum.Defects != f.Pair.First.Defects || sum.Parts != f.Pair.First.Parts {
			t.Errorf("%s: %+v adds up, and %+v is said", f.Where(words.Writing{}), sum, f.Pair.First)
		}
	}
	if tried < 20 {
		t.Errorf("only %d factors were tried", tried)
	}
}

// A moment stands between the parts before it and those after it.
func TestChangeOfCardIsShown(t *testing.T) {
	chartOf := stat.Chart{Kind: stat.P, Centre: 0.1, Signals: []stat.Signal{{Point: 1, Rule: stat.AboveLimit}}, Points: []stat.Point{
		{Name: "2026-01", Value: 0.05, High: 0.2}, {Name: "2026-03", Value: 0.3, High: 0.2}, {Name: "2026-04", Value: 0.1, High: 0.2}}}
	c := &recur.Course{Chart: &chartOf, Periods: []recur.Period{{Name: "2026-01", Sample: stat.Sample{Defects: 1, Parts: 20}}, {Name: "2026-02", Sample: stat.Sample{}}, {Name: "2026-03", Sample: stat.Sample{Defects: 6, Parts: 20}}, {Name: "2026-04", Sample: stat.Sample{Defects: 2, Parts: 20}}},
		Changes: []recur.Change{{Card: "caliper 2", Day: "2026-03-16", Before: stat.Sample{Defects: 4, Parts: 30}, After: stat.Sample{Defects: 5, Parts: 30}}}}
	d := chart.Course("pinhole", c, words.Writing{})
	svg := string(d.SVG)
	for _, want := range []string{"caliper 2: 13 % before, 17 % since", ">above</text>", "March 2026 above the upper limit", "1 stands out"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is missing in %s", want, svg)
		}
	}
	if got := d.Rows[1]; got[1] != "no part" || len(d.Rows) != 4 || d.Rows[2][5] != string(stat.AboveLimit) {
		t.Errorf("rows %q", d.Rows)
	}
	within(t, "course", d)
	// Nothing is drawn where no part was looked at: the line is in two pieces.
	for _, s := range d.Picture.Shapes {
		if is, ok := s.(chart.Stroke); ok && is.Title == "what was counted" && len(is.Pieces) != 2 {
			t.Errorf("%d pieces", len(is.Pieces))
		}
	}
}

func TestWatchStaysInItsFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := chart.Watch{Title: "odd. The table has the figures.", Up: "%", Centre: rapid.Float64Range(0, 100).Draw(t, "centre"), Shares: rapid.Bool().Draw(t, "shares")}
		figure := rapid.Custom(func(t *rapid.T) float64 {
			if rapid.IntRange(0, 9).Draw(t, "kind") == 0 {
				return math.NaN()
			}
			return rapid.Float64Range(0, 1000).Draw(t, "figure")
		})
		n := rapid.IntRange(0, 80).Draw(t, "points")
		for i := range n {
			w.Points = append(w.Points, chart.Watched{Name: fmt.Sprintf("2026-%03d", i), Value: figure.Draw(t, "value"), Low: figure.Draw(t, "low"), High: figure.Draw(t, "high"),
				Out: rapid.SampledFrom([]stat.Rule{"", "", stat.AboveLimit, stat.ShortRun}).Draw(t, "out")})
		}
		for range rapid.IntRange(0, 8).Draw(t, "moments") {
			w.Moments = append(w.Moments, chart.Moment{Label: "caliper 2: 13 % before, 17 % since", At: rapid.Float64Range(-2, 90).Draw(t, "at")})
		}
		within(t, "watch", chart.Drawn(w))
	})
}

// Whatever the intervals are, nothing lies outside, the dot lies on its line,
// and the line at nothing is there.
func TestDifferencesStayInTheirFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := chart.Differences{Title: "odd. The table has the figures."}
		for range rapid.IntRange(1, 30).Draw(t, "rows") {
			low := rapid.Float64Range(-1, 1).Draw(t, "low")
			high := rapid.Float64Range(low, 1).Draw(t, "high")
			d.Rows = append(d.Rows, chart.Difference{Name: rapid.StringN(0, 60, -1).Draw(t, "name"), Size: stat.Interval{Value: (low + high) / 2, Low: low, High: high}, Word: "not separable"})
		}
		drawn := chart.Drawn(d)
		within(t, "differences", drawn)
		for _, p := range []chart.Picture{drawn.Picture, drawn.Narrow} {
			rings, upright := 0, 0
			for _, s := range p.Shapes {
				switch s := s.(type) {
				case chart.Ring:
					rings++
				case chart.Stroke:
					if at := s.Pieces[0]; len(at) == 2 && at[0].X == at[1].X && at[1].Y-at[0].Y > 33 {
						upright++
					}
				}
			}
			if rings != len(d.Rows) || upright != 1 {
				t.Fatalf("%d dots and %d lines at nothing for %d rows", rings, upright, len(d.Rows))
			}
		}
	})
}

// The curve only falls, each step stands in it, and the numbers beneath are
// those of the parts still watched.
func TestGoodOnlyFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lives []stat.Life
		for range rapid.IntRange(1, 60).Draw(t, "parts") {
			lives = append(lives, stat.Life{Time: float64(rapid.IntRange(0, 900).Draw(t, "days")), Seen: rapid.IntRange(0, 3).Draw(t, "seen") == 0})
		}
		s, err := stat.KaplanMeier(lives, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		d := chart.Good("pinhole", s, words.Writing{})
		within(t, "good", d)
		defects := 0
		for _, step := range s.Steps {
			if step.Defects > 0 {
				defects++
			}
		}
		if len(d.Rows) != defects && len(d.Rows) != defects+1 {
			t.Fatalf("%d rows for %d steps", len(d.Rows), defects)
		}
		for _, shape := range d.Picture.Shapes {
			if is, ok := shape.(chart.Stroke); ok && is.Title == "still good" {
				for i, at := range is.Pieces[0][1:] {
					if before := is.Pieces[0][i]; at.Y < before.Y-1e-9 || at.X < before.X-1e-9 {
						t.Fatal("the curve rises, or goes back")
					}
				}
			}
		}
		watched := 0
		for _, l := range lives {
			if l.Time >= 0 {
				watched++
			}
		}
		found := false
		for _, shape := range d.Picture.Shapes {
			is, ok := shape.(chart.Text)
			found = found || ok && is.Figure && is.Text == fmt.Sprint(watched)
		}
		if !found {
			t.Fatalf("%d parts were watched at first, and nothing says so", watched)
		}
	})
}

func TestBarsStayInTheirFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := recur.Factor{Says: "powder lot", Number: rapid.Bool().Draw(t, "number")}
		for range rapid.IntRange(0, 60).Draw(t, "groups") {
			n := rapid.IntRange(0, 5000).Draw(t, "parts")
			f.Groups = append(f.Groups, stat.Sample{Name: rapid.StringN(0, 50, -1).Draw(t, "name"), Parts: n, Defects: rapid.IntRange(0, n).Draw(t, "defects")})
		}
		d := chart.Groups("pinhole", f, words.Writing{})
		within(t, "bars", d)
		if len(d.Rows) != len(f.Groups) {
			t.Fatalf("%d rows for %d groups", len(d.Rows), len(f.Groups))
		}
	})
}

// Names that people typed must not break out of these pictures either.
func TestHostileGroups(t *testing.T) {
	const hostile = "</title><script>alert(1)</script>\"'&\x00\xff]]>"
	f := recur.Factor{Says: hostile, Split: hostile, Groups: []stat.Sample{{Name: hostile, Defects: 1, Parts: 2}}, Effect: &stat.Effect{Size: stat.Interval{Low: -1, High: 1}}}
	valid(t, string(chart.Groups(hostile, f, words.Writing{}).SVG))
	valid(t, string(chart.Factors(hostile, []recur.Factor{f}, words.Writing{}).SVG))
	w := chart.Watch{Title: hostile, Up: hostile, Points: []chart.Watched{{Name: hostile, Value: 1, Out: hostile}}, Moments: []chart.Moment{{Label: hostile}}}
	valid(t, string(w.Picture().SVG()))
	valid(t, string(chart.Drawn(w).Narrow.SVG()))
}

// A figure as small as parts in a million has a long name, and room for it.
func TestNamesOfSmallFiguresHaveRoom(t *testing.T) {
	w := chart.Watch{Title: "small. The table has the figures.", Up: "%", Centre: 0.00024, Points: []chart.Watched{{Name: "2026-01", Value: 0.00025, High: math.NaN(), Low: math.NaN()}}}
	within(t, "watch", chart.Drawn(w))
}
