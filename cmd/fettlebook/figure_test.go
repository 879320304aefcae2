package main

import (
	"fmt"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// fieldsOf lists the JSON fields of a type, those of lists with [] behind them.
func fieldsOf(t reflect.Type, path string, each func(path string, leaf reflect.Type)) {
	switch {
	case t.Kind() == reflect.Pointer:
		fieldsOf(t.Elem(), path, each)
	case t.Kind() == reflect.Slice:
		fieldsOf(t.Elem(), path+"[]", each)
	case t.Kind() == reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			switch {
			case f.Type == reflect.TypeFor[worksheet](): // listed once
			case f.Anonymous && name == "":
				fieldsOf(f.Type, path, each)
			case f.IsExported():
				fieldsOf(f.Type, path+"."+name, each)
			}
		}
	default:
		each(path, t)
	}
}

// TestFigureFields holds the names in the figures' JSON against the list that scripts
// rely on: a name never changes its meaning, and new ones are added to the list.
func TestFigureFields(t *testing.T) {
	snake := regexp.MustCompile(`^[a-z]+(\[\])?(\.[a-z][a-z0-9]*(_[a-z0-9]+)*(\[\])*)+$`)
	var got strings.Builder
	for _, f := range []struct {
		name string
		json any
	}{
		{"all", worksheet{}}, {"bake", bakeFigure{}}, {"film", filmFigure{}}, {"torque", torqueFigure{}}, {"bolt", boltFigure{}}, {"bleed", bleedFigure{}},
		{"vin", vinFigure{}}, {"dew", dewFigure{}}, {"rate", rateFigure{}}, {"compare", compareFigure{}}, {"chart", chartFigure{}},
	} {
		fieldsOf(reflect.TypeOf(f.json), f.name, func(path string, leaf reflect.Type) {
			if !snake.MatchString(path) {
				t.Errorf("%s is not in snake case", path)
			}
			kind := "text"
			switch leaf.Kind() {
			case reflect.Bool:
				kind = "true or false"
			case reflect.Int, reflect.Float64:
				kind = "number"
			}
			fmt.Fprintln(&got, path, kind)
		})
	}
	want, err := os.ReadFile("testdata/figure_fields.golden")
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("the fields are not those of testdata/figure_fields.golden; they are\n%s", got.String())
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

// A number comes back as it was written, and nothing but a decimal is one.
func TestDecimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := float64(rapid.IntRange(-1e9, 1e9).Draw(t, "thousandths")) / 1000
		got, err := decimal(fmt.Sprintf("%.3f", want))
		if err != nil || got != want {
			t.Fatalf("%v, %v instead of %v", got, err, want)
		}
	})
	for _, text := range []string{"", "NaN", "Inf", "-inf", "1e3", "0x1p4", "1_000", "2,5", "1.2.3", "two", "3 4"} {
		if v, err := decimal(text); err == nil {
			t.Errorf("%q is %v", text, v)
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
