package film_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func micrometres(t rapid.TB, values ...float64) (all []unit.Length) {
	t.Helper()
	for _, v := range values {
		all = append(all, tradetest.Quantity[unit.Length](t, strconv.FormatFloat(v, 'f', -1, 64)+" µm"))
	}
	return all
}

func spec(t rapid.TB, low, high string) film.Spec {
	t.Helper()
	s := film.Spec{Low: tradetest.Quantity[unit.Length](t, low), Source: "data sheet"}
	if high != "" {
		s.High = tradetest.Quantity[unit.Length](t, high)
	}
	return s
}

func survey(t rapid.TB, spots ...[]float64) (s film.Survey) {
	t.Helper()
	for i, values := range spots {
		s.Spots = append(s.Spots, film.Spot{Place: "S" + strconv.Itoa(i+1), Readings: micrometres(t, values...)})
	}
	return s
}

var (
	caseA = [][]float64{{62, 71, 68}, {88, 92, 95}, {58, 55, 61}, {101, 96, 99}, {74, 77, 71}}
	caseB = [][]float64{{50, 44, 47}, {66, 70, 71}, {63, 60, 66}, {72, 75, 69}, {64, 58, 67}}
	caseC = [][]float64{{118, 124, 121}, {96, 99, 90}, {85, 88, 91}, {102, 98, 94}, {76, 80, 78}}
)

// Worked for a range of 60 to 100 µm by the table of levels; means computed by hand.
func TestLevels(t *testing.T) {
	for _, test := range []struct {
		name  string
		spots [][]float64
		means []float64
		area  float64
		fails map[film.Level]string // the levels that fail, and how
	}{
		{"A", caseA, []float64{67, 91.67, 58, 98.67, 74}, 77.867, map[film.Level]string{
			film.Level1: "reading 1 at spot S3, 58.0 µm, is below 60.0 µm, the least; " +
				"reading 2 at spot S3, 55.0 µm, is below 60.0 µm, the least; " +
				"spot S3, 58.0 µm, is below 60.0 µm, the least; " +
				"reading 1 at spot S4, 101.0 µm, is above 100.0 µm, the greatest",
			film.Level2: "reading 1 at spot S3, 58.0 µm, is below 60.0 µm, the least; " +
				"reading 2 at spot S3, 55.0 µm, is below 60.0 µm, the least; " +
				"spot S3, 58.0 µm, is below 60.0 µm, the least",
		}},
		{"B", caseB, []float64{47, 69, 63, 72, 63}, 62.80, map[film.Level]string{
			film.Level1: "", film.Level2: "",
			film.Level3: "spot S1, 47.0 µm, is below 48.0 µm, 80 % of the least",
			film.Level4: "spot S1, 47.0 µm, is below 48.0 µm, 80 % of the least",
			film.Level5: "spot S1, 47.0 µm, is below 48.0 µm, 80 % of the least",
		}},
		{"C", caseC, []float64{121, 95, 88, 98, 78}, 96.00, map[film.Level]string{
			film.Level1: "", film.Level2: "",
			film.Level3: "spot S1, 121.0 µm, is above 120.0 µm, 120 % of the greatest",
		}},
	} {
		for level := film.Level1; level <= film.Level5; level++ {
			got, err := film.Judge(survey(t, test.spots...), spec(t, "60 µm", "100 µm"), level)
			if err != nil {
				t.Fatal(err)
			}
			for i, want := range test.means {
				if math.Abs(got.Spots[i].Mean-want) > 0.0051 {
					t.Errorf("case %s: spot %d is %g, want %g", test.name, i+1, got.Spots[i].Mean, want)
				}
			}
			if math.Abs(got.Area-test.area) > 0.00051 || got.Readings != 15 || got.Assumed {
				t.Errorf("case %s: %+v", test.name, got)
			}
			how, fails := test.fails[level]
			if got.Pass == fails {
				t.Errorf("case %s at level %d: %s", test.name, level, got.Say())
			}
			if _, said, _ := strings.Cut(got.Say(), ": fails: "); how != "" && said != how {
				t.Errorf("case %s at level %d:\n got %s\nwant %s", test.name, level, said, how)
			}
		}
	}
}

func TestLevelThreeHoldsWhenNoneIsStated(t *testing.T) {
	got, err := film.Judge(survey(t, caseA...), spec(t, "60 µm", "100 µm"), 0)
	want := "PA 2 style, 5 spots per part, level 3 (none was stated): passes: the mean is 77.9 µm, specified is 60 µm to 100 µm"
	if err != nil || got.Level != film.Level3 || !got.Assumed || got.Say() != want || got.Warnings != nil {
		t.Errorf("%q, %q, %v", got.Say(), got.Warnings, err)
	}
}

// Fewer spots than make an area pass nothing, and one that is outside fails all the same.
func TestTooFewSpots(t *testing.T) {
	got, err := film.Judge(survey(t, caseA[:1]...), spec(t, "60 µm", "100 µm"), film.Level3)
	if said := got.Say(); err != nil || strings.Contains(said, "pass") || !strings.Contains(said, "1 of 5 spots") {
		t.Errorf("%q, %v", said, err)
	}
	if v := got.Sheet().Verdicts; len(v) != 1 || v[0].Standing != sheet.NotProven {
		t.Errorf("the verdicts are %v", v)
	}
	got, err = film.Judge(survey(t, caseA[:1]...), spec(t, "300 µm", "400 µm"), film.Level3)
	if said := got.Say(); err != nil || !strings.Contains(said, "fails") {
		t.Errorf("%q, %v", said, err)
	}
}

// The range of 8 to 12 mil is the example of a public slide set on SSPC-PA 2: spots from
// 6.4 to 14.4 mil.
func TestSpotLimitsOfLevelThree(t *testing.T) {
	for edge, pass := range map[string]bool{"6.4 mil": true, "6.39 mil": false, "14.4 mil": true, "14.41 mil": false} {
		s := film.Survey{}
		for range 4 {
			s.Spots = append(s.Spots, film.Spot{Readings: []unit.Length{tradetest.Quantity[unit.Length](t, "10 mil"), tradetest.Quantity[unit.Length](t, "10 mil"), tradetest.Quantity[unit.Length](t, "10 mil")}})
		}
		s.Spots = append(s.Spots, film.Spot{Place: "edge", Readings: []unit.Length{tradetest.Quantity[unit.Length](t, edge), tradetest.Quantity[unit.Length](t, edge), tradetest.Quantity[unit.Length](t, edge)}})
		got, err := film.Judge(s, spec(t, "8 mil", "12 mil"), film.Level3)
		if err != nil || got.Pass != pass {
			t.Errorf("%s: %s, %v", edge, got.Say(), err)
		}
	}
}

// Read 70 µm over bare metal that reads 8 µm: the film is 62 µm (computed).
func TestBaseReadingIsSubtracted(t *testing.T) {
	s := survey(t, []float64{70, 70, 70})
	s.Base = tradetest.Quantity[unit.Length](t, "8 µm")
	got, err := film.Judge(s, spec(t, "60 µm", "100 µm"), film.Level1)
	if err != nil || got.Spots[0].Mean != 62 || got.Area != 62 || got.Base != 8 || !got.Pass {
		t.Errorf("%+v, %v", got, err)
	}
	if want := "only 1 spot: measure 5, such as flat, edge, recess, back and boss"; len(got.Warnings) != 1 || got.Warnings[0] != want {
		t.Errorf("warnings %q", got.Warnings)
	}
}

func TestWarnings(t *testing.T) {
	s := spec(t, "60 µm", "")
	s.Source = ""
	five := []float64{70, 70, 70}
	got, err := film.Judge(survey(t, five, five, five, five, []float64{700, 700, 2032}), s, film.Level5)
	if err != nil || !got.Pass || len(got.Warnings) != 2 || !strings.Contains(got.Warnings[1], "2032.0 µm, is more than ten times 60.0 µm") {
		t.Errorf("%q, %v", got.Warnings, err)
	}
	usual, err := film.DefaultSpec()
	if err != nil || usual.Low.In(unit.Micrometre) != 60 || usual.High.In(unit.Micrometre) != 100 || usual.Source != "shop default" {
		t.Errorf("%+v, %v", usual, err)
	}
}

func TestRefusals(t *testing.T) {
	good, asked := survey(t, caseA...), spec(t, "60 µm", "100 µm")
	based := survey(t, []float64{70, 5, 70})
	based.Base = tradetest.Quantity[unit.Length](t, "8 µm")
	for _, test := range []struct {
		survey film.Survey
		spec   film.Spec
		level  film.Level
		says   string
	}{
		{film.Survey{}, asked, 3, "the survey, no spot: nothing was measured: take 3 readings at each of 5 spots"},
		{survey(t, []float64{70, 71}), asked, 3, "spot S1, 2 readings: a spot is the mean of at least 3 readings: take 1 more within 4 cm"},
		{survey(t, []float64{70}), asked, 3, "spot S1, 1 reading: a spot is the mean of at least 3 readings: take 2 more within 4 cm"},
		{film.Survey{Spots: []film.Spot{{}}}, asked, 3, "spot 1, 0 readings: "},
		{film.Survey{Spots: []film.Spot{{Place: "boss", Readings: make([]unit.Length, 3)}}}, asked, 3, "spot boss, reading 1, not entered: "},
		{based, asked, 3, "spot S1, reading 2, 5 µm: it is below the base metal reading 8 µm"},
		{good, asked, 6, "the restriction level, 6: "},
		{good, asked, -1, "the restriction level, -1: "},
		{good, film.Spec{High: asked.High}, 3, "the least thickness, not entered: "},
		{good, film.Spec{Low: tradetest.Quantity[unit.Length](t, "0 µm"), High: asked.High}, 3, "the least thickness, 0 µm: "},
		{good, film.Spec{Low: asked.Low}, 3, "the greatest thickness, not entered: level 3 needs one"},
		{good, film.Spec{Low: asked.High, High: asked.Low}, 3, "the greatest thickness, 60 µm: it must be above the least, 100 µm"},
		{good, film.Spec{Low: asked.Low, High: tradetest.Quantity[unit.Length](t, "2 mil")}, 3, "the greatest thickness, 2 mil: "},
	} {
		got, err := film.Judge(test.survey, test.spec, test.level)
		var refused *film.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) || got.Pass || got.Area != 0 {
			t.Errorf("want %q, got %v", test.says, err)
		}
	}
}

// Values of a nominal 80 µm, judged by the rule as computed by hand.
var (
	caseD = []float64{82, 85, 79, 90, 88, 76, 84, 92, 81, 87, 70, 83, 95, 80, 86, 74, 89, 91, 78, 84}
	caseE = []float64{82, 85, 81, 90, 88, 76, 84, 92, 81, 87, 70, 83, 95, 80, 86, 74, 89, 91, 82, 84}
)

func TestNominal(t *testing.T) {
	eighty := film.Nominal{Thickness: tradetest.Quantity[unit.Length](t, "80 µm"), Most: film.NominalMost}
	got, err := film.JudgeNominal(micrometres(t, caseD...), unit.Length{}, eighty)
	if err != nil || math.Abs(got.Mean-83.70) > 1e-9 || got.Min != 70 || got.Max != 95 || got.Between != 5 || got.Portion != 0.25 || got.Pass {
		t.Errorf("case D: %+v, %v", got, err)
	}
	if want := "80/20 rule, nominal 80 µm, 20 readings: fails: 5 of 20 values, 25 %, lie between 80 % of the nominal and the nominal, and at most 20 % may"; got.Say() != want {
		t.Errorf("case D: %s", got.Say())
	}
	got, err = film.JudgeNominal(micrometres(t, caseE...), unit.Length{}, eighty)
	if err != nil || math.Abs(got.Mean-84.00) > 1e-9 || got.Between != 3 || got.Portion != 0.15 || !got.Pass || got.Warnings != nil {
		t.Errorf("case E: %+v, %v", got, err)
	}
	if want := "80/20 rule, nominal 80 µm, 20 readings: passes: the mean is 84.0 µm, the lowest 70.0 µm, and 15 % lie below the nominal"; got.Say() != want {
		t.Errorf("case E: %s", got.Say())
	}

	for _, test := range []struct {
		values  []float64
		most    float64
		broken  string
		warning string
	}{
		{[]float64{64, 90, 90, 90, 90}, 3, "", "exactly 20 %"},
		{[]float64{63.9, 90, 90, 90, 90}, 3, "the lowest value, 63.9 µm, is below 64.0 µm, 80 % of the nominal", ""},
		{[]float64{79, 79, 80, 80, 80}, 0, "the mean, 79.6 µm, is below the nominal, 80.0 µm; 2 of 5 values, 40 %", ""},
		{[]float64{80, 80, 80, 80, 240}, 3, "", ""},
		{[]float64{80, 80, 80, 80, 241}, 3, "the highest value, 241.0 µm, is above 240.0 µm, 3 times the nominal", ""},
		{[]float64{80, 80, 80, 80, 241}, 0, "", ""},
		{[]float64{80}, 0, "", "only 1 reading"},
	} {
		got, err := film.JudgeNominal(micrometres(t, test.values...), unit.Length{}, film.Nominal{Thickness: tradetest.Quantity[unit.Length](t, "80 µm"), Most: test.most})
		if err != nil || got.Pass != (test.broken == "") || !strings.HasPrefix(strings.Join(got.Broken, "; "), test.broken) {
			t.Errorf("%v: %s, %v", test.values, got.Say(), err)
		}
		if !strings.HasPrefix(strings.Join(got.Warnings, "; "), test.warning) || (test.warning == "") != (len(got.Warnings) == 0) {
			t.Errorf("%v: warnings %q", test.values, got.Warnings)
		}
	}
}

func TestNominalRefusals(t *testing.T) {
	for _, test := range []struct {
		values  []float64
		nominal string
		most    float64
		says    string
	}{
		{nil, "80 µm", 3, "the survey, no reading: "},
		{caseD, "39 µm", 3, "the nominal thickness, 39 µm: ISO 19840 does not apply below 40 µm"},
		{caseD, "0 µm", 3, "the nominal thickness, 0 µm: "},
		{caseD, "80 µm", 0.8, "the greatest thickness, 0.8 times the nominal: "},
		{caseD, "80 µm", math.NaN(), "the greatest thickness, NaN times the nominal: "},
	} {
		_, err := film.JudgeNominal(micrometres(t, test.values...), unit.Length{}, film.Nominal{Thickness: tradetest.Quantity[unit.Length](t, test.nominal), Most: test.most})
		var refused *film.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) {
			t.Errorf("want %q, got %v", test.says, err)
		}
	}
}

func drawn(t *rapid.T) [][]float64 {
	reading := rapid.Map(rapid.IntRange(300, 1600), func(tenths int) float64 { return float64(tenths) / 10 })
	return rapid.SliceOfN(rapid.SliceOfN(reading, 3, 5), 1, 6).Draw(t, "spots")
}

func TestStricterLevelsPassNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spots := drawn(t)
		passed := false
		for level := film.Level1; level <= film.Level5; level++ {
			got, err := film.Judge(survey(t, spots...), spec(t, "60 µm", "100 µm"), level)
			if err != nil {
				t.Fatal(err)
			}
			if passed && !got.Pass {
				t.Fatalf("level %d fails where a stricter one passes: %s", level, got.Say())
			}
			passed = got.Pass
			if got.Pass != (len(got.Broken) == 0) {
				t.Fatalf("%+v", got)
			}
		}
	})
}

func TestUnitDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spots := drawn(t)
		level := film.Level(rapid.IntRange(1, 5).Draw(t, "level"))
		metric, err := film.Judge(survey(t, spots...), spec(t, "63.5 µm", "101.6 µm"), level)
		if err != nil {
			t.Fatal(err)
		}
		mils := film.Survey{}
		for _, s := range metric.Spots {
			spot := film.Spot{Place: s.Place}
			for _, v := range s.Readings {
				spot.Readings = append(spot.Readings, tradetest.Quantity[unit.Length](t, unit.Format(v/25.4, unit.Mil, 14)))
			}
			mils.Spots = append(mils.Spots, spot)
		}
		again, err := film.Judge(mils, spec(t, "2.5 mil", "4 mil"), level)
		if err != nil || again.Pass != metric.Pass || len(again.Broken) != len(metric.Broken) || math.Abs(again.Area-metric.Area) > 1e-9 {
			t.Fatalf("in µm: %s\nin mil: %s, %v", metric.Say(), again.Say(), err)
		}
	})
}

// 1 mil is 25.4 µm exactly (NIST SP 811); figures of usual films computed from it.
func TestMilsAndMicrometres(t *testing.T) {
	for _, pair := range []struct {
		mil, um float64
	}{{2.362, 60}, {3.150, 80}, {3.937, 100}, {2.5, 63.5}, {3, 76.2}, {4, 101.6}, {15, 381}} {
		reading := tradetest.Quantity[unit.Length](t, unit.Format(pair.mil, unit.Mil, 3))
		s := film.Survey{Spots: []film.Spot{{Readings: []unit.Length{reading, reading, reading}}}}
		got, err := film.Judge(s, spec(t, "60 µm", "400 µm"), film.Level5)
		if err != nil || math.Abs(got.Area-pair.um) > 0.0127 {
			t.Errorf("%s: %g µm, %v; want %g", reading, got.Area, err, pair.um)
		}
	}
}
