package chart_test

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal/trade/bake"
)

var update = flag.Bool("update", false, "write the golden pictures anew, to be looked at before they are kept")

// warming is metal that warms up to the oven's air as one lump, read twice a
// minute, and a door that stays open for a while: then nothing was logged.
func warming(tau, air float64) []string {
	var list []string
	for m := 0.0; m <= 45; m += 0.5 {
		if m > 20 && m < 24 {
			continue
		}
		list = append(list, fmt.Sprintf("%.1f", air-(air-20)*math.Exp(-m/tau)))
	}
	return list
}

func heavyAndLight(t testing.TB) (*bake.Series, []bake.Probe, bake.Result) {
	t.Helper()
	var seconds []string
	for m := 0.0; m <= 45; m += 0.5 {
		if m <= 20 || m >= 24 {
			seconds = append(seconds, fmt.Sprint(m*60))
		}
	}
	join := func(list []string) string { return strings.Join(list, " ") }
	series, err := bake.NewSeries(join(seconds), bake.Celsius,
		bake.ChannelSeries{Channel: "1", Readings: join(warming(11.5, 200))},
		bake.ChannelSeries{Channel: "2", Readings: join(warming(5, 200))},
		bake.ChannelSeries{Channel: "3", Readings: join(warming(0.5, 203))})
	if err != nil {
		t.Fatal(err)
	}
	schedule, err := bake.ParseSchedule("20 min @ 180 °C, 10 min @ 200 °C")
	if err != nil {
		t.Fatal(err)
	}
	probes := []bake.Probe{{Channel: "1", Place: "ear", On: "LF bracket"}, {Channel: "2", Place: "tab", On: "LF caliper"}}
	result, err := bake.Judge(series, schedule, bake.DefaultRules(), probes)
	if err != nil {
		t.Fatal(err)
	}
	return series, probes, result
}

func films() chart.Strip {
	return chart.Strip{
		Title: "Film of the LF caliper", Unit: "µm",
		Groups: []chart.Group{
			{"flat", []float64{62, 71, 68}, 67}, {"edge", []float64{88, 92, 95}, 275.0 / 3}, {"recess", []float64{58, 55, 61}, 58},
		},
		Low: &chart.Limit{Name: "at least 60", At: 60}, High: &chart.Limit{Name: "at most 100", At: 100},
	}
}

func TestGolden(t *testing.T) {
	series, probes, result := heavyAndLight(t)
	d, err := chart.Bake{Title: "Bake bake-17", Trace: series, Probes: probes, Result: &result}.Draw()
	if err != nil {
		t.Fatal(err)
	}
	film, several := films().Draw(), chart.Films(coats(t))
	for name, svg := range map[string]string{"bake.svg": string(d.SVG), "film.svg": string(film.SVG), "films.svg": string(several.SVG),
		"bake-narrow.svg": string(d.Narrow.SVG()), "film-narrow.svg": string(film.Narrow.SVG())} {
		file := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(file, []byte(svg), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if svg != string(want) {
			t.Errorf("%s differs; look at it with -update", name)
		}
		valid(t, svg)
	}
	if again, _ := (chart.Bake{Title: "Bake bake-17", Trace: series, Probes: probes, Result: &result}).Draw(); again.SVG != d.SVG {
		t.Error("the same bake gives another picture")
	}
}

func TestBakeRows(t *testing.T) {
	series, probes, result := heavyAndLight(t)
	d, err := chart.Bake{Title: "Bake", Trace: series, Probes: probes, Result: &result, Name: func(p string) string { return "the " + p }}.Draw()
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Rows) != 3 {
		t.Fatalf("%d rows", len(d.Rows))
	}
	for _, row := range d.Rows {
		if len(row) != len(d.Head) {
			t.Errorf("row %q for head %q", row, d.Head)
		}
	}
	if where := d.Rows[0][1]; where != "the LF bracket, ear" {
		t.Errorf("where is %q", where)
	}
	// 200 − 180·exp(−45/11.5) = 196.4 °C: lumped-capacity heating.
	if got := d.Rows[0][2]; got != "196.4 °C" {
		t.Errorf("peak %q", got)
	}
	if got := d.Rows[0][7]; got != "1, 4.0 min" {
		t.Errorf("gaps %q", got)
	}
	if got := d.Rows[2]; got[1] != "air" || got[4] != "–" {
		t.Errorf("air is %q", got)
	}
	// The gap is not drawn: each line has two strokes.
	for _, path := range strings.Split(string(d.SVG), "<path ")[1:] {
		if n := strings.Count(path[:strings.Index(path, `" fill`)], "M"); n != 2 {
			t.Errorf("a line of %d strokes", n)
		}
	}
}

// Names that people typed must not break out of the picture.
func TestHostileNames(t *testing.T) {
	const hostile = "</title><script>alert(1)</script>\"'&\x00\xff]]>"
	series, err := bake.NewSeries("0 60", bake.Celsius, bake.ChannelSeries{Channel: hostile, Readings: "20 30"})
	if err != nil {
		t.Fatal(err)
	}
	d, err := chart.Bake{Title: hostile, Trace: series, Probes: []bake.Probe{{Channel: hostile, Place: hostile, On: hostile}}}.Draw()
	if err != nil {
		t.Fatal(err)
	}
	valid(t, string(d.SVG))
	s := films()
	s.Title, s.Unit, s.Groups[0].Name, s.Low.Name = hostile, hostile, hostile, hostile
	valid(t, string(s.Draw().SVG))
	valid(t, string(s.Draw().Narrow.SVG()))
}

// Nothing, one reading and readings that are none give no picture or a sound one.
func TestOddReadings(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, points := range map[string][]chart.Point{
		"none": nil, "one": {{1, 20}}, "missing": {{0, nan}, {1, inf}}, "flat": {{0, 20}, {1, 20}, {2, 20}}, "huge": {{0, -1e15}, {1e9, 1e15}}, "lone": {{0, 1}, {1, nan}, {2, 3}, {3, nan}},
	} {
		t.Run(name, func(t *testing.T) {
			c := chart.Curves{Title: "odd", Up: "°C", Lines: []chart.Line{{Label: "1", Points: points}}, Levels: []chart.Level{{Label: "180 °C", At: 180}, {Label: "none", At: nan}}}
			d := chart.Drawn(c)
			svg := string(d.SVG)
			if drawn := name != "none" && name != "missing"; drawn != (svg != "") {
				t.Fatalf("drawn: %q", svg)
			}
			if svg != "" {
				valid(t, svg)
				valid(t, string(d.Narrow.SVG()))
			}
			var readings []float64
			for _, p := range points {
				readings = append(readings, p.Y)
			}
			if d := (chart.Strip{Title: "odd", Groups: []chart.Group{{"a", readings, nan}}}).Draw(); d.SVG != "" {
				valid(t, string(d.SVG))
				valid(t, string(d.Narrow.SVG()))
			}
		})
	}
}

// valid holds a picture to well-formed XML with nothing in it that the pages'
// policy forbids or a reader cannot read.
func valid(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	depth, titles, first := 0, 0, true
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("no XML: %v\n%s", err, svg)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if depth++; e.Name.Local == "title" && depth == 2 {
				titles++
			}
			switch e.Name.Local {
			case "svg", "title", "line", "path", "text", "circle":
			default:
				t.Errorf("the element %s", e.Name.Local)
			}
			role := ""
			for _, a := range e.Attr {
				switch name := a.Name.Local; {
				case name == "style" || strings.HasPrefix(name, "on") || name == "href":
					t.Errorf("the attribute %s", name)
				case name == "role":
					role = a.Value
				case strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf"):
					t.Errorf("%s is %q", name, a.Value)
				}
			}
			if first && role != "img" {
				t.Errorf("the role is %q", role)
			}
			first = false
		case xml.EndElement:
			depth--
		}
	}
	if titles != 1 {
		t.Errorf("%d titles", titles)
	}
}
