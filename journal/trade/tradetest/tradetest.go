// Package tradetest reads what tests of calculations are held against:
// published tables and quantities as they are printed.
package tradetest

import (
	"encoding/csv"
	"os"
	"strconv"

	"fettlebook/journal/trade/unit"
)

// TB is what a test and a property test have in common.
type TB interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// Published reads a table of testdata/published, such as "dew/points.csv": the
// names of its columns, and its rows. Where it was published stands in its
// comments.
func Published(t TB, name string) (head []string, rows [][]string) {
	t.Helper()
	file, err := os.Open("../../../testdata/published/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table := csv.NewReader(file)
	table.Comment = '#'
	all, err := table.ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(all), err)
	}
	return all[0], all[1:]
}

// Quantity reads a quantity; "" is none.
func Quantity[Q interface{ unit.Of[D] }, D unit.Dimension](t TB, text string) (q Q) {
	t.Helper()
	if text == "" {
		return q
	}
	q, err := unit.Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// Number reads a number.
func Number(t TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
