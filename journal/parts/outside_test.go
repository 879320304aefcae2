package parts_test

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// seeded is a table of coats of several patterns, of which some were looked at.
func seeded() *parts.Table {
	dice := rand.New(rand.NewPCG(20, 26))
	var rows []parts.Row
	for j := range 300 {
		r := parts.NewRow(journal.About(journal.JobID(fmt.Sprintf("j%07d", j)), "LF", "caliper"), 1)
		if dice.IntN(10) > 0 {
			r.Put(parts.Pattern, parts.Text([]string{"K17", "K18, \"second\"", "M4", "grün"}[dice.IntN(4)]))
		}
		if looked := dice.IntN(8) > 0; looked {
			r.Put(parts.Looked, parts.Yes(true))
			r.Put(parts.Defect(string(journal.Pinhole)), parts.Yes(dice.IntN(6) == 0))
		}
		rows = append(rows, r)
	}
	return parts.New(rows...)
}

// tally counts the coats that were looked at, and those with the defect.
func tally(table *parts.Table, by, defect parts.Name) map[string]stat.Sample {
	counts := make(map[string]stat.Sample)
	codes, words := table.Words(by)
	had, _ := table.Words(defect)
	for i, code := range codes {
		if code == 0 || had[i] == 0 {
			continue
		}
		s := counts[words[code-1]]
		s.Parts++
		if had[i] == 2 {
			s.Defects++
		}
		counts[words[code-1]] = s
	}
	return counts
}

// Whoever has the CSV form gets the same rates and intervals of it with R.
func TestRatesByR(t *testing.T) {
	missing := t.Skipf
	if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
		missing = t.Fatalf
	}
	program, err := exec.LookPath("Rscript")
	if err != nil {
		missing("Rscript is not installed, so nothing is compared with it")
	}
	pinhole := parts.Defect(string(journal.Pinhole))
	table := seeded()
	var form, stderr bytes.Buffer
	if err := table.WriteCSV(&form, false); err != nil {
		t.Fatal(err)
	}
	r := exec.Command(program, "--vanilla", filepath.Join("testdata", "rates.R"), string(parts.Pattern), string(pinhole), "0.95")
	r.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	r.Stdin, r.Stderr = &form, &stderr
	out, err := r.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, &stderr)
	}
	ours := tally(table, parts.Pattern, pinhole)
	lines := strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
	if len(ours) != 4 || len(lines) != len(ours) {
		t.Fatalf("R has %d patterns, and there are %d: %q", len(lines), len(ours), out)
	}
	for i, name := range slices.Sorted(maps.Keys(ours)) {
		s := ours[name]
		cells := strings.Split(lines[i], "\t")
		if got, want := strings.Join(cells[:3], " "), fmt.Sprintf("%s %d %d", name, s.Parts, s.Defects); got != want {
			t.Errorf("R says %q, and the table %q", got, want)
		}
		rate, err := stat.Wilson(s, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for k, ours := range []float64{rate.Rate.Low, rate.Rate.High} {
			theirs, err := strconv.ParseFloat(strings.TrimSpace(cells[3+k]), 64)
			if err != nil || math.Abs(ours-theirs) > 1e-9 {
				t.Errorf("%s: an end of the interval is %v, and R says %s (%v)", name, ours, cells[3+k], err)
			}
		}
	}
}
