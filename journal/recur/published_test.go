package recur_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// admissions are those at Berkeley in 1973 by department (Bickel, Hammel,
// O'Connell, Science 187 (1975) 398-404): men admitted and rejected, women
// admitted and rejected.
func admissions() [][4]int {
	return [][4]int{{512, 313, 89, 19}, {353, 207, 17, 8}, {120, 205, 202, 391}, {138, 279, 131, 244}, {53, 138, 94, 299}, {22, 351, 24, 317}}
}

// The admissions as a parts table that was read from CSV: a department is a kind
// of part, whoever was admitted has a pinhole, and men and women are two sources.
// Held against the departments, next to nothing is left of the difference: as
// published, and as R says now.
func TestAdmissions(t *testing.T) {
	var file bytes.Buffer
	w := csv.NewWriter(&file)
	n := 0
	row := func(cells ...string) {
		if err := w.Write(cells); err != nil {
			t.Fatal(err)
		}
	}
	row("part", "job", "coat", "day", "what", "metal", "source", "looked", string(parts.Defect("pinhole")))
	for d, counts := range admissions() {
		for k, count := range counts {
			for range count {
				job := fmt.Sprintf("%c%c%c%c2222", letters[n%31], letters[n/31%31], letters[n/961%31], letters[n/29791%31])
				n++
				row("job/"+job+"/corner/LF/part/caliper", job, "1", "2025-03-03", string(rune('A'+d)), "iron",
					[]string{"men", "women"}[k/2], "yes", []string{"yes", "no"}[k%2])
			}
		}
	}
	w.Flush()
	table, err := parts.ReadCSV(&file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := recur.Of(table, recur.Question{Defect: "pinhole"})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(s.Factors, func(f recur.Factor) bool { return f.Name == parts.Source })
	if i < 0 || s.Factors[i].Pooled == nil || s.Looked != 4526 {
		t.Fatalf("%d looked at: %+v", s.Looked, s.Factors)
	}
	f := s.Factors[i]
	if f.Stands {
		t.Errorf("men or women stand out: %+v", f)
	}
	odds, crude := f.Pooled.OddsRatio, f.Pooled.Crude.Value
	got := []float64{odds.Value, odds.Low, odds.High, crude}
	if strings.Contains(f.Split, "women") {
		got = []float64{1 / odds.Value, 1 / odds.High, 1 / odds.Low, 1 / crude}
	}
	close := func(as string, within float64, want ...float64) {
		t.Helper()
		for k := range want {
			if k >= len(got) || !(math.Abs(got[k]-want[k]) <= within) {
				t.Errorf("%s: %.9g, want %.9g", as, got, want)
				return
			}
		}
	}
	close("published", 5e-5, 0.9047, 0.7719, 1.0603, 1.8411)
	path, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
			t.Fatal(err)
		}
		t.Skip("R is not installed, so nothing is compared with it")
	}
	out, err := exec.CommandContext(t.Context(), path, "-e", `m <- mantelhaen.test(aperm(UCBAdmissions, c(2,1,3)), correct=FALSE); a <- apply(UCBAdmissions, c(2,1), sum)
cat(format(c(m$estimate, m$conf.int, a[1,1]*a[2,2]/a[1,2]/a[2,1]), digits=17))`).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var want []float64
	for _, word := range strings.Fields(string(out)) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatalf("R says %q", out)
		}
		want = append(want, x)
	}
	close("R", 1e-9, want...)
}
