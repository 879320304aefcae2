package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
)

// fieldsOf lists the members of a JSON value and what they hold, those of lists with []
// behind them.
func fieldsOf(value any, path string, fields map[string]string) {
	switch v := value.(type) {
	case map[string]any:
		for name, inner := range v {
			fieldsOf(inner, path+"."+name, fields)
		}
	case []any:
		for _, inner := range v {
			fieldsOf(inner, path+"[]", fields)
		}
	case bool:
		fields[path] = "true or false"
	case float64:
		fields[path] = "number"
	case string:
		fields[path] = "text"
	}
}

// everything holds, for each figure, command lines that together have every member of its
// JSON.
func everything(t *testing.T) map[string][][]string {
	log := filepath.Join(t.TempDir(), "log.csv")
	var rows strings.Builder
	rows.WriteString("Time,Part (°C),Air (°C)\n")
	for i := range 60 {
		metal := 200 - 180*math.Exp(-float64(i)/11.5)
		fmt.Fprintf(&rows, "2026-03-02 10:%02d:00,%.3f,200\n", i, metal)
	}
	if err := os.WriteFile(log, []byte(rows.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return map[string][][]string{
		"bake": {{log, "--like", log, "--air", "Air", "--oven", "200 °C", "--schedule", "8 min @ 180 °C", "--schedule", "4 min @ 200 °C", "--overbake", "0.1", "--probe", "Part=bracket: boss"}},
		"film": {
			{"flat: 82 µm 79 µm 84 µm", "--low", "60 µm", "--high", "70 µm", "--source", "sheet", "--nominal", "80 µm", "--base", "8 µm"},
			{"79 µm 84 µm 60 µm", "--nominal", "80 µm"},
		},
		"torque": {{
			"105 N.m", "--nominal", "100 N.m", "--assume", "10 %", "--source", "manual", "--wrench", "400 mm", "--offset", "50 mm",
			"--tool-class", "II A", "--tool-high", "200 N.m", "--calibrated", "2026-01-10", "--on", "2026-03-02",
		}},
		"bolt": {{"M12", "--torque", "105 N.m", "--class", "10.9", "--creep", "20 µm", "--grip", "25 mm"}},
		"bleed": {{
			"open RF banjo, open RR banjo, close RR banjo, bleed RR", "--driver", "left", "--split", "rear", "--start", "8 mL", "--step", "RR: out 60 mL, in 50 mL",
			"--fluid", "DOT 4", "--add", "DOT 3",
		}, {"bleed RF inner", "--driver", "left", "--split", "rear", "--screws", "RF: inner, outer"}},
		"vin":  {{"00FAH59H3SG118341"}},
		"dew":  {{"--air", "20 °C", "--humidity", "70 %", "--metal", "70 °F", "--margin", "2 K"}},
		"rate": {{"0 of 40"}},
		"compare": {
			{"2 of 40 against 9 of 35", "--stratum", "iron: 2 of 40 against 9 of 35", "--stratum", "aluminium: 3 of 40 against 4 of 35", "--factor", "lot 7: 5 of 20 against 3 of 60"},
			{"3 of 40 against 2 of 40"},
		},
		"chart": {
			{"--from", "-"}, {"1 of 20", "9 of 20", "3 of 20"}, {"3 of 50", "2 of 50"}, {"--kind", "sum", "0", "0"}, {"--kind", "g", "120", "80", "300"}, {"--kind", "t", "12", "8.5", "30"}, {"--kind", "sum", "0", "1", "1"},
			{"--kind", "readings", "5.1", "5.2", "5.3", "5.2", "5.1", "5.2", "9.9"},
		},
	}
}

// TestFigureFields holds the names in the figures' JSON against the list that scripts
// rely on: a name never changes its meaning, and new ones are added to the list.
func TestFigureFields(t *testing.T) {
	fields := map[string]string{}
	for name, all := range everything(t) {
		for _, args := range all {
			var out, errOut bytes.Buffer
			if code := run(t.Context(), append([]string{"figure", name, "--json"}, args...), strings.NewReader("5.1\n5.2\n5.1\n"), &out, &errOut); code != 0 {
				t.Fatalf("%s %q: %s", name, args, &errOut)
			}
			var got map[string]any
			if err := json.Unmarshal(out.Bytes(), &got); err != nil {
				t.Fatal(err)
			}
			for _, common := range []string{"format", "figure", "formula", "inputs", "limits", "warnings", "verdict"} {
				if got[common] == nil {
					t.Errorf("%s %q lacks %s", name, args, common)
				}
				fieldsOf(got[common], "all."+common, fields)
				delete(got, common)
			}
			fieldsOf(got, name, fields)
		}
	}
	snake := regexp.MustCompile(`^[a-z]+(\[\])?(\.[a-z][a-z0-9]*(_[a-z0-9]+)*(\[\])*)+$`)
	var got []string
	for path, kind := range fields {
		if !snake.MatchString(path) {
			t.Errorf("%s is not in snake case", path)
		}
		got = append(got, path+" "+kind)
	}
	list, err := os.ReadFile("testdata/figure_fields.golden")
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Split(strings.TrimSpace(string(list)), "\n")
	slices.Sort(got)
	slices.Sort(want)
	if diff := gocmp.Diff(want, got); diff != "" {
		t.Errorf("the fields are not those of testdata/figure_fields.golden (-want +got):\n%s", diff)
	}
}

// TestFigureHelp: the help of each figure has its formula, sources, units and
// examples, and names all that scripts rely on.
func TestFigureHelp(t *testing.T) {
	list, err := os.ReadFile("testdata/figure_fields.golden")
	if err != nil {
		t.Fatal(err)
	}
	helped := map[string]string{}
	for field := range strings.Lines(string(list)) {
		path, _, _ := strings.Cut(field, " ")
		name, path, _ := strings.Cut(path, ".")
		if helped[name] == "" {
			args := []string{"figure", "--help"}
			if name != "all" {
				args = []string{"figure", name, "--help"}
			}
			var out, errOut bytes.Buffer
			if code := run(t.Context(), args, nil, &out, &errOut); code != 0 {
				t.Fatalf("%q: %s", args, &errOut)
			}
			helped[name] = out.String()
			for _, part := range []string{"Formula:", "Source:", "Units:", "For example:", "Names in --json"} {
				if name != "all" && !strings.Contains(helped[name], part) {
					t.Errorf("the help of %s has no %q", name, part)
				}
			}
			_, names, _ := strings.Cut(helped[name], "Names in --json")
			helped[name], _, _ = strings.Cut(names, "Flags:")
		}
		within := ""
		if dot := strings.LastIndex(path, "."); dot >= 0 {
			within, path = path[:dot+1], path[dot+1:]
		}
		// A row begins with what its names stand in, and goes on in lines that are indented by more.
		row := regexp.MustCompile(`(?m)^    ` + regexp.QuoteMeta(within) + `( \S+)*(\n     +\S.*)*`)
		if within == "" {
			row = regexp.MustCompile(`(?m)^    \S.*$`)
		}
		if !slices.ContainsFunc(row.FindAllString(helped[name], -1), func(row string) bool { return slices.Contains(strings.Fields(row), path) }) {
			t.Errorf("the help of %s does not name %s%s", name, within, path)
		}
	}
}

func TestEachReading(t *testing.T) {
	for text, want := range map[string][]string{
		"82 µm 79 µm 84 µm":      {"82 µm", "79 µm", "84 µm"},
		"3.1mil, 3.2 mil; 3 mil": {"3.1mil", "3.2 mil", "3 mil"},
		"82,5 µm 79 µm":          {"82,5 µm", "79 µm"},
		"82 79 µm":               {"82 79", "µm"},
		"-3 µm 79":               {"-3 µm", "79"},
		"":                       nil,
	} {
		if got := eachReading(text); !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func FuzzPoints(f *testing.F) {
	for _, seed := range []string{"5", "week 3: 2 of 40", "5 in 2.5", "a: b: 3", "5 of", " of 5", "−3"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := pointsOf([]string{text})
		if err == nil && (len(p.all) != 1 || p.all[0].value != p.all[0].value) {
			t.Fatalf("%q is %+v", text, p)
		}
	})
}
