package bake_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// table reads a table of published or worked figures, by column name.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "..", "testdata", "published", "bake", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[lines[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// near compares with a printed figure: within half of its last digit.
func near(t *testing.T, what string, got float64, printed string) {
	t.Helper()
	_, decimals, _ := strings.Cut(printed, ".")
	if half := 0.501 * math.Pow10(-len(decimals)); !(math.Abs(got-number(t, printed)) <= half) {
		t.Errorf("%s: got %v, want %s", what, got, printed)
	}
}

// tester is what a test and a property test have in common.
type tester interface {
	Helper()
	Fatal(args ...any)
}

func schedule(t tester, text string) bake.Schedule {
	t.Helper()
	s, err := bake.ParseSchedule(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// scheduleA is the schedule of most worked examples.
const scheduleA = "20 min @ 180 °C, 10 min @ 200 °C"

func TestPublishedEnergies(t *testing.T) {
	for _, row := range table(t, "energy.csv") {
		near(t, row["schedule"], schedule(t, row["schedule"]).ActivationEnergy()/1000, row["kJ/mol"])
	}
}

func TestPublishedTimes(t *testing.T) {
	for _, row := range table(t, "required.csv") {
		text := row["schedule"]
		if energy, _, ok := strings.Cut(text, " kJ/mol"); ok {
			minutes := 10 * math.Exp(number(t, energy)*1000/bake.GasConstant*(1/453.15-1/473.15))
			text = fmt.Sprintf("%.9f min @ 180 °C, 10 min @ 200 °C", minutes)
		}
		at, err := unit.Parse[unit.Temperature](row["at"])
		if err != nil {
			t.Fatal(err)
		}
		near(t, row["schedule"]+" at "+row["at"], schedule(t, text).Required(at.In(unit.Celsius)), row["minutes"])
	}
}

// memory makes a trace of one channel from "minute:°C" pairs.
func memory(t tester, pairs string, scale bake.Scale) *bake.Series {
	t.Helper()
	var seconds, readings []string
	for _, pair := range strings.Fields(pairs) {
		minute, celsius, _ := strings.Cut(pair, ":")
		m, err := strconv.ParseFloat(minute, 64)
		if err != nil {
			t.Fatal(err)
		}
		c, err := strconv.ParseFloat(celsius, 64)
		if err != nil {
			t.Fatal(err)
		}
		if scale == bake.Fahrenheit {
			c = c*9/5 + 32
		}
		seconds = append(seconds, strconv.FormatFloat(m*60, 'f', -1, 64))
		readings = append(readings, strconv.FormatFloat(c, 'f', -1, 64))
	}
	s, err := bake.NewSeries(strings.Join(seconds, " "), scale, bake.ChannelSeries{Channel: "1", Readings: strings.Join(readings, " ")})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// loose are the usual rules, but metal may do what it likes.
func loose() bake.Rules {
	r := bake.DefaultRules()
	r.Jump = bake.Limit{Value: 1e12, Unit: "K/min", Source: "test"}
	return r
}

// bounds makes loose rules with these bounds.
func bounds(below, maxGap float64) bake.Rules {
	r := loose()
	r.Strict.Below.Value = below
	r.Strict.Capped = false
	r.Lenient.Below.Value = max(below, 10)
	r.MaxGap = bake.Limit{Value: maxGap, Unit: "min", Source: "test"}
	return r
}

var onPart = []bake.Probe{{Channel: "1", Place: "thick section", On: "left front caliper"}}

func judge(t tester, trace bake.Trace, s bake.Schedule, rules bake.Rules) bake.Result {
	t.Helper()
	result, err := bake.Judge(trace, s, rules, onPart)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

func TestPublishedFractions(t *testing.T) {
	for _, row := range table(t, "fraction.csv") {
		rules := bounds(number(t, row["from K below"]), number(t, row["longest gap min"]))
		c := judge(t, memory(t, row["trace (min:°C)"], bake.Celsius), schedule(t, row["schedule"]), rules).Channels[0]
		got := map[string]float64{"no credit": c.Strict, "interpolated": c.Strict + c.Gaps.Strict}[row["gap policy"]]
		if tolerance := row["tolerance"]; tolerance != "" {
			if want := number(t, row["fraction"]); math.Abs(got-want) > number(t, tolerance)*want {
				t.Errorf("%s: got %v, want %v", row["name"], got, want)
			}
			continue
		}
		near(t, row["name"], got, row["fraction"])
	}
}

func TestIntegralAgainstQuadrature(t *testing.T) {
	for _, row := range table(t, "quadrature.csv") {
		want := number(t, row["mean rate per min"])
		for _, pairs := range []string{"0:" + row["from °C"] + " 1:" + row["to °C"], "0:" + row["to °C"] + " 1:" + row["from °C"]} {
			got := judge(t, memory(t, pairs, bake.Celsius), schedule(t, scheduleA), bounds(400, 1000)).Channels[0].Strict
			if math.Abs(got/want-1) > 1e-7 {
				t.Errorf("%s: got %v, want %v", pairs, got, want)
			}
		}
	}
}

// The trapezoid rule on rates overstates a cure, which is why it is not used.
func TestTrapezoidOverstates(t *testing.T) {
	s := schedule(t, scheduleA)
	for _, row := range table(t, "trapezoid.csv") {
		step, sum, before := number(t, row["step min"]), 0.0, [2]float64{-1}
		for _, pair := range strings.Fields(row["trace (min:°C)"]) {
			minute, celsius, _ := strings.Cut(pair, ":")
			m, c := number(t, minute), number(t, celsius)
			for from := before; before[0] >= 0 && from[0] < m; {
				to := [2]float64{min(from[0]+step, m), 0}
				to[1] = before[1] + (c-before[1])*(to[0]-before[0])/(m-before[0])
				sum += (to[0] - from[0]) * (1/s.Required(from[1]) + 1/s.Required(to[1])) / 2
				from = to
			}
			before = [2]float64{m, c}
		}
		near(t, "trapezoid by "+row["step min"], sum, row["fraction"])
		if got := judge(t, memory(t, row["trace (min:°C)"], bake.Celsius), s, bounds(400, 1000)).Channels[0].Strict; got >= sum {
			t.Errorf("trapezoid by %s: %v is not above %v", row["step min"], sum, got)
		}
	}
}

func TestPublishedHeating(t *testing.T) {
	rules := bounds(400, 2)
	s := schedule(t, scheduleA)
	for _, row := range table(t, "heating.csv") {
		h := bake.Heating{Tau: number(t, row["tau"]), Air: 200, Start: 20}
		for _, column := range []string{"180 °C", "190 °C", "195 °C"} {
			minutes, err := h.MinutesTo(number(t, strings.TrimSuffix(column, " °C")))
			if err != nil {
				t.Fatal(err)
			}
			near(t, "tau "+row["tau"]+" to "+column, minutes, row[column])
		}
		for _, column := range []string{"10 min", "20 min", "30 min", "45 min"} {
			near(t, "tau "+row["tau"]+" after "+column, h.Fraction(s, rules, number(t, strings.TrimSuffix(column, " min"))), row[column])
		}
		minutes, err := h.MinutesToSchedule(s, rules)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "tau "+row["tau"]+" to the schedule", minutes, row["schedule"])
		if sum := h.Fraction(s, rules, minutes); math.Abs(sum-1) > 1e-9 {
			t.Errorf("tau %s: the fraction is %v when it is said to be 1", row["tau"], sum)
		}
	}
}
