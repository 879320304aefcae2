package exchange_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/trade/unit"
)

// rows reads a table by another's rules of RFC 4180: every row has all columns
// and ends with CRLF.
func rows(t *testing.T, raw []byte) [][]string {
	t.Helper()
	if n := bytes.Count(raw, []byte("\n")); n == 0 || n != bytes.Count(raw, []byte("\r\n")) {
		t.Errorf("%d lines end, %d by CRLF", n, bytes.Count(raw, []byte("\r\n")))
	}
	in := csv.NewReader(bytes.NewReader(raw))
	all, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// cellOf returns the cell of a row by its column.
func cellOf(t *testing.T, table [][]string, row int, column string) string {
	t.Helper()
	i := slices.Index(table[0], column)
	if i < 0 {
		t.Fatalf("there is no column %q among %q", column, table[0])
	}
	return table[row][i]
}

// Forty parts have forty rows, each with what is stated of it; columns have
// names of their own, and the dictionary has a row for each in their order.
func TestRowOfEveryPart(t *testing.T) {
	h := newHub(t)
	job := h.open("4f7kk2m9", "FB 204")
	for i := range 40 {
		corner := []string{"LF", "RF", "LR", "RR", "NC"}[i%5]
		part := journal.Subject(fmt.Sprintf("%s/corner/%s/part/arm-%d", job, corner, i))
		h.write(part, &journal.Tagging{Tag: fmt.Sprintf("T%d", i), Metal: journal.Iron})
		h.write(part, &journal.Blasting{Media: fmt.Sprintf("glass bead %d", i)})
	}
	s := h.source("4f7kk2m9")
	table := rows(t, written(t, exchange.CSV, s))
	if len(table) != 41 {
		t.Fatalf("%d rows", len(table))
	}
	seen := make(map[string]bool)
	for row := 1; row < len(table); row++ {
		part := cellOf(t, table, row, "part")
		seen[part] = true
		if n := strings.TrimPrefix(part, "arm-"); cellOf(t, table, row, "tag") != "T"+n || cellOf(t, table, row, "part: blast media") != "glass bead "+n || cellOf(t, table, row, "part: blast media, how sure") != "as written" {
			t.Errorf("%q", table[row])
		}
	}
	head := slices.Clone(table[0])
	slices.Sort(head)
	if len(seen) != 40 || len(slices.Compact(head)) != len(table[0]) {
		t.Errorf("%d parts, columns %q", len(seen), table[0])
	}
	dictionary := rows(t, written(t, exchange.Columns, s))
	if len(dictionary) != len(table[0])+1 {
		t.Fatalf("%d columns, %d in the dictionary", len(table[0]), len(dictionary)-1)
	}
	for i, column := range table[0] {
		if d := dictionary[i+1]; d[0] != column || !strings.HasSuffix(d[6], ".") {
			t.Errorf("column %q is told as %q", column, d)
		}
	}
}

// What is worked out stands in the shop's units, what was typed as it was
// typed; each with its unit in the header, in one spelling.
func TestUnitsOfTheTable(t *testing.T) {
	h := newHub(t)
	h.write("shop/"+journal.Subject("k7m2q4xw"), &journal.Units{Units: unit.USCustomary()})
	job := h.open("4f7kk2m9", "FB 204")
	caliper, bracket := job+"/corner/LF/part/caliper", job+"/corner/LF/part/bracket"
	for part, reads := range map[journal.Subject][]string{caliper: {"2.6 mil", "2.8 mil", "3.0 mil"}, bracket: {"60 µm", "70 µm", "80 µm"}} {
		h.write(part, &journal.Tagging{Tag: "T", Metal: journal.Iron})
		spot := journal.Spot{Place: "outside"}
		for _, text := range reads {
			spot.Readings = append(spot.Readings, q[unit.Length](t, text))
		}
		h.write(part, &journal.FilmReadings{Gauge: "fg-1", Low: q[unit.Length](t, "60 µm"), High: q[unit.Length](t, "120 µm"), Spots: []journal.Spot{spot, spot, spot, spot, spot}})
	}
	for _, text := range []string{"20 ft-lbs", "20 lb.ft"} {
		h.write(job+"/corner/LF", &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque](t, text), Tool: "tw-1"})
	}
	s := h.source("4f7kk2m9")
	table := rows(t, written(t, exchange.CSV, s))
	for row := 1; row < len(table); row++ {
		if got := cellOf(t, table, row, "part: film mean (mil)"); !strings.HasPrefix(got, "2.") {
			t.Errorf("film mean %q", got)
		}
	}
	if n := len(slices.DeleteFunc(slices.Clone(table[0]), func(c string) bool { return !strings.HasSuffix(c, " (lb·ft)") })); n == 0 {
		t.Errorf("no torque in %q", table[0])
	}
	for _, column := range table[0] {
		if strings.Contains(column, "µm") || strings.Contains(column, "ft-lb") || strings.Contains(column, "lb.ft") {
			t.Errorf("column %q", column)
		}
	}
	if err := epcisSchema(t).Validate(decoded(t, written(t, exchange.EPCIS, s))); err != nil {
		t.Error(err)
	}
	if raw := string(written(t, exchange.EPCIS, s)); !strings.Contains(raw, `"uom": "M92"`) || !strings.Contains(raw, `"uom": "77"`) || !strings.Contains(raw, `"uom": "4H"`) {
		t.Error("a unit has no code")
	}
}

// No cell begins as a formula does, whatever was typed; figures stay figures.
func TestNoFormulas(t *testing.T) {
	h := newHub(t)
	job := h.open("4f7kk2m9", "=1+1")
	for i, text := range []string{`=HYPERLINK("x")`, "+1-1", "-2+3", "@SUM(1)", "\t=1", "＝1", `a "quoted", text`, "two\nlines", "-3.2"} {
		part := journal.Subject(fmt.Sprintf("%s/corner/LF/part/arm-%d", job, i))
		h.write(part, &journal.Tagging{Tag: text, Metal: journal.Iron})
		h.write(part, &journal.Blasting{Media: text})
	}
	raw := written(t, exchange.CSV, h.source("4f7kk2m9"))
	table := rows(t, raw)
	for row, want := range []string{`'=HYPERLINK("x")`, "'+1-1", "'-2+3", "'@SUM(1)", "=1", "'＝1", `a "quoted", text`, "two\nlines", "-3.2"} {
		got := cellOf(t, table, row+1, "part: blast media")
		if want == "=1" { // space around it is left out when it is written down, or it stays and is escaped
			if got != "'=1" && got != "'\t=1" {
				t.Errorf("%q", got)
			}
		} else if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	for _, row := range table {
		for _, text := range row {
			if bare := strings.TrimSpace(text); bare != "" && strings.ContainsRune("=@+", rune(bare[0])) {
				t.Errorf("the cell %q", text)
			}
		}
	}
}

// Equal sources give equal bytes.
func TestReproducible(t *testing.T) {
	h := newHistory(t, 1000)
	id := journal.JobID(h.view.Names("job")[0])
	one, two := h.job(id), newHistory(t, 1000).job(id)
	for _, f := range exchange.Forms() {
		if !bytes.Equal(written(t, f, one), written(t, f, two)) {
			t.Errorf("%s differs", f)
		}
	}
}
