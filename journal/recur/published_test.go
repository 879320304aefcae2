package recur_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// Whoever has the CSV form of the parts table gets the same of it with R, for
// every factor: its p with all its values and cuts counted, and that with all
// factors counted.
func TestStudyByR(t *testing.T) {
	path, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
			t.Fatal(err)
		}
		t.Skip("R is not installed, so nothing is compared with it")
	}
	table := invented.Make(invented.Setting{Seed: 5, Parts: 160, Cause: invented.OnePattern, Mixed: true, Revised: 150}).Table()
	s, err := recur.Of(table, recur.Question{Defect: "pinhole", People: true})
	if err != nil {
		t.Fatal(err)
	}
	var form, stderr bytes.Buffer
	if err := table.WriteCSV(&form, true); err != nil {
		t.Fatal(err)
	}
	args := []string{"--vanilla", filepath.Join("testdata", "study.R"), string(parts.Defect("pinhole"))}
	for _, c := range parts.Columns() {
		if c.Role == parts.Factor {
			args = append(args, string(c.Name)+":"+strings.Fields(string(c.Kind))[0])
		}
	}
	r := exec.CommandContext(t.Context(), path, args...)
	r.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	r.Stdin, r.Stderr = &form, &stderr
	out, err := r.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, &stderr)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != s.Tested || len(lines) < 40 {
		t.Fatalf("R tried %d factors, and the study %d:\n%s", len(lines), s.Tested, out)
	}
	for _, line := range lines {
		var name parts.Name
		var p, adjusted float64
		var tries int
		if _, err := fmt.Sscan(line, &name, &p, &adjusted, &tries); err != nil {
			t.Fatalf("R says %q: %v", line, err)
		}
		f := s.Of(name)
		if math.Abs(f.P-p) > 1e-9*p || math.Abs(f.Adjusted-adjusted) > 1e-9*adjusted || f.Tries != tries {
			t.Errorf("%s: p %v, adjusted %v, of %d tries; R has %v, %v, of %d", name, f.P, f.Adjusted, f.Tries, p, adjusted, tries)
		}
	}
}
