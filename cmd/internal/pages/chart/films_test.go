package chart_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

// surveyed judges readings in µm of a part, spot by spot, against 60 to 100 µm.
func surveyed(t interface{ Fatal(...any) }, shown unit.LengthUnit, spots ...[]float64) film.Result {
	s := film.Survey{}
	for i, readings := range spots {
		spot := film.Spot{Place: []string{"flat", "edge", "recess", "back", "boss"}[i%5]}
		for _, r := range readings {
			spot.Readings = append(spot.Readings, micrometres(t, r))
		}
		s.Spots = append(s.Spots, spot)
	}
	r, err := film.Judge(s, film.Spec{Low: micrometres(t, 60), High: micrometres(t, 100), Source: "data sheet", In: shown}, film.Level3)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func micrometres(t interface{ Fatal(...any) }, v float64) unit.Length {
	l, err := unit.Parse[unit.Length](strconv.FormatFloat(v, 'f', -1, 64) + " µm")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// coats are three parts of a corner: one inside, one thin in its recess, one thick.
func coats(t testing.TB) []chart.Coat {
	return []chart.Coat{
		{Part: "LF caliper", Film: surveyed(t, 0, []float64{82, 79, 84}, []float64{74, 71, 77})},
		{Part: "LF bracket", Film: surveyed(t, 0, []float64{78, 80, 77}, []float64{58, 55, 61})},
		{Part: "RF caliper", Film: surveyed(t, 0, []float64{96, 104, 101}, []float64{88, 90, 92})},
	}
}

// The table beside the picture, worked out by hand: the mean of a part is that of
// its spots' means.
func TestFilmsRows(t *testing.T) {
	d := chart.Films(coats(t))
	want := [][]string{
		{"LF caliper", "6", "77.8 µm", "71.0 µm", "84.0 µm"},
		{"LF bracket", "6", "68.2 µm", "55.0 µm", "80.0 µm"},
		{"RF caliper", "6", "95.2 µm", "88.0 µm", "104.0 µm"},
	}
	if fmt.Sprint(d.Rows) != fmt.Sprint(want) {
		t.Errorf("the table is %q, want %q", d.Rows, want)
	}
	if title := d.Picture.Title; title != "Film thickness of 3 parts, asked 60 µm to 100 µm. The table has the figures." {
		t.Errorf("the title is %q", title)
	}
	if none := chart.Films(nil); none.SVG != "" || !none.Picture.IsZero() || none.Rows != nil {
		t.Errorf("of no part there is %+v", none)
	}
	one := chart.Films(coats(t)[:1])
	if !strings.Contains(one.Picture.Title, "of 1 part,") {
		t.Errorf("the title of one is %q", one.Picture.Title)
	}
}

// Whatever was read on however many parts: each part has its row, each reading its
// ring, a ring is filled if and only if it lies outside of the band, and the band lies
// where the readings say that it does. In another unit the picture is the same.
func TestFilmsShowEveryReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reading := rapid.Map(rapid.IntRange(0, 2500), func(n int) float64 { return float64(n) / 10 })
		readings := rapid.SliceOfN(rapid.SliceOfN(reading, film.SpotReadings, 5), 1, 6)
		parts := rapid.SliceOfN(readings, 1, 12).Draw(t, "parts")
		var inMicrometres, inMils []chart.Coat
		all, outside := 0, 0
		for i, spots := range parts {
			name := fmt.Sprintf("part %d", i+1)
			inMicrometres = append(inMicrometres, chart.Coat{Part: name, Film: surveyed(t, unit.Micrometre, spots...)})
			inMils = append(inMils, chart.Coat{Part: name, Film: surveyed(t, unit.Mil, spots...)})
			for _, spot := range spots {
				for _, r := range spot {
					if all++; r < 60 || r > 100 {
						outside++
					}
				}
			}
		}
		d := chart.Films(inMicrometres)
		if len(d.Rows) != len(parts) {
			t.Fatalf("%d rows for %d parts", len(d.Rows), len(parts))
		}
		rings, filled := ringsOf(d.Picture)
		if len(rings) != all || filled != outside {
			t.Fatalf("%d rings, of which %d are filled; read were %d, and %d outside", len(rings), filled, all, outside)
		}
		low, high := band(t, d.Picture)
		for _, r := range rings {
			if in := r.At.X > low-1e-9 && r.At.X < high+1e-9; in == r.Filled {
				t.Fatalf("a ring at %v, filled %v, with the band from %v to %v", r.At.X, r.Filled, low, high)
			}
			if r.At.X < 0 || r.At.X > d.Picture.Width || r.At.Y < 0 || r.At.Y > d.Picture.Height {
				t.Fatalf("a ring outside of the picture, at %v", r.At)
			}
		}
		mils, also := ringsOf(chart.Films(inMils).Picture)
		if len(mils) != all || also != filled {
			t.Fatalf("in mils %d rings, %d filled", len(mils), also)
		}
	})
}

func ringsOf(p chart.Picture) (rings []chart.Ring, filled int) {
	for _, s := range p.Shapes {
		if r, ok := s.(chart.Ring); ok {
			if rings = append(rings, r); r.Filled {
				filled++
			}
		}
	}
	return rings, filled
}

// band is where the two limits are drawn: the only lines with dashes.
func band(t interface{ Fatalf(string, ...any) }, p chart.Picture) (low, high float64) {
	low, high = math.NaN(), math.NaN()
	for _, s := range p.Shapes {
		line, ok := s.(chart.Stroke)
		if !ok || line.Pen.Dashes == nil {
			continue
		}
		if x := line.Pieces[0][0].X; math.IsNaN(low) {
			low = x
		} else {
			high = x
		}
	}
	if !(low < high) {
		t.Fatalf("the band is drawn from %v to %v", low, high)
	}
	return low, high
}
