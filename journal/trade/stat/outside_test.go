package stat_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/stat"
)

// run feeds the cases to reference software, one per line, and returns its lines of
// figures. Without the software the test is skipped, unless FETTLEBOOK_REQUIRE_OUTSIDE=1.
func run(t *testing.T, cases []string, probe []string, program string, args ...string) [][]float64 {
	t.Helper()
	missing := t.Skipf
	if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
		missing = t.Fatalf
	}
	path, err := exec.LookPath(program)
	if err != nil {
		missing("%s is not installed, so nothing is compared with it", program)
	}
	if out, err := exec.Command(path, probe...).CombinedOutput(); err != nil {
		missing("%s cannot be used, so nothing is compared with it: %v\n%s", program, err, out)
	}
	command := exec.Command(path, args...)
	command.Stdin = strings.NewReader(strings.Join(cases, "\n") + "\n")
	var stderr bytes.Buffer
	command.Stderr = &stderr
	out, err := command.Output()
	if err != nil {
		t.Fatalf("run %s: %v\n%s", program, err, &stderr)
	}
	var figures [][]float64
	for line := range strings.Lines(string(out)) {
		var row []float64
		for _, word := range strings.Fields(line) {
			if word == "NA" {
				word = "NaN"
			}
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("read %s: %v", program, err)
			}
			row = append(row, x)
		}
		figures = append(figures, row)
	}
	if len(figures) != len(cases) {
		t.Fatalf("%s answered %d of %d cases", program, len(figures), len(cases))
	}
	return figures
}

// agree compares relatively, except next to 0.
func agree(t *testing.T, about, what string, got, want, tolerance float64) {
	t.Helper()
	if got == want {
		return // both without end, too
	}
	if !(math.Abs(got-want) <= tolerance*math.Max(math.Abs(want), 1e-12)) {
		t.Errorf("%s: %s is %.15g, want %.15g", about, what, got, want)
	}
}

// randomTables makes the same tables every time: small ones, lopsided ones, and a few with
// hundreds of thousands of parts.
func randomTables() []stat.Pair {
	random := rand.New(rand.NewPCG(19, 98))
	var tables []stat.Pair
	add := func(n1, n2 int, r1, r2 float64) {
		a, c := int(float64(n1)*r1*random.Float64()), int(float64(n2)*r2*random.Float64())
		if a+c > 0 && a+c < n1+n2 {
			tables = append(tables, stat.Cells(a, n1-a, c, n2-c))
		}
	}
	for len(tables) < 200 {
		add(1+random.IntN(40), 1+random.IntN(40), 1.05, 0.8)
	}
	for len(tables) < 240 {
		add(1+random.IntN(2000), 1+random.IntN(300), 0.1, 0.2)
	}
	for len(tables) < 245 {
		add(400_000, 600_000, 0.002, 0.002)
	}
	return tables
}

func level(i int) float64 { return []float64{0.95, 0.90, 0.99, 0.8}[i%4] }

func cells(p stat.Pair) string {
	return fmt.Sprint(p.First.Defects, p.First.Parts-p.First.Defects, p.Second.Defects, p.Second.Parts-p.Second.Defects)
}

func end(x float64) string {
	if x == 0 || math.IsInf(x, 1) {
		return "-"
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// TestAgainstR compares with prop.test, binom.test, fisher.test, chisq.test,
// mantelhaen.test and p.adjust. The search of fisher.test for an odds ratio stops at four
// digits, so R also certifies ours: it adds up the tails that they leave.
func TestAgainstR(t *testing.T) {
	var cases []string
	var checks []func(want []float64)
	ask := func(line string, check func(want []float64)) {
		cases = append(cases, line)
		checks = append(checks, check)
	}
	tables := randomTables()
	for i, p := range tables {
		askOne(t, ask, p.First, level(i))
		askTable(t, ask, p, level(i))
	}
	for _, p := range []stat.Pair{
		stat.Cells(4, 36, 4, 36), stat.Cells(2, 8, 1, 9), stat.Cells(2, 38, 0, 20), stat.Cells(30, 70, 40, 60), stat.Cells(20, 20, 20, 60),
		stat.Cells(6, 144, 5, 145), stat.Cells(0, 10, 0, 20), stat.Cells(12, 3, 28, 2), stat.Cells(15, 0, 25, 0),
	} {
		askPower(t, ask, p, 0.95)
	}
	for i := 0; i+3 <= len(tables); i += 3 {
		askStrata(t, ask, tables[i:i+3], level(i))
	}
	random := rand.New(rand.NewPCG(19, 95))
	for size := 1; size <= 30; size++ {
		askSearch(t, ask, size, size+random.IntN(2)*random.IntN(20), random)
	}
	for i, want := range run(t, cases, []string{"--version"}, "Rscript", "--vanilla", filepath.Join("testdata", "reference.R")) {
		checks[i](want)
	}
}

func askOne(t *testing.T, ask func(string, func([]float64)), s stat.Sample, level float64) {
	line := fmt.Sprintf("one %d %d %v", s.Defects, s.Parts, level)
	wilson := ok[stat.Proportion](t)(stat.Wilson(s, level)).Rate
	exact := ok[stat.Proportion](t)(stat.ClopperPearson(s, level, stat.BothSides)).Rate
	lower := ok[stat.Proportion](t)(stat.ClopperPearson(s, level, stat.LowerSide)).Rate
	upper := ok[stat.Proportion](t)(stat.ClopperPearson(s, level, stat.UpperSide)).Rate
	ask(line, func(want []float64) {
		for i, got := range []float64{wilson.Low, wilson.High, exact.Low, exact.High, lower.Low, upper.High} {
			what := []string{"Wilson low", "Wilson high", "exact low", "exact high", "lower", "upper"}[i]
			agree(t, line, what, got, want[i], 1e-8)
		}
	})
}

func askTable(t *testing.T, ask func(string, func([]float64)), p stat.Pair, level float64) {
	c := ok[stat.Comparison](t)(stat.Compare(p, level))
	odds := c.Exact.Size
	line := fmt.Sprintf("table %s %v %s %s %s", cells(p), level, end(odds.Low), end(odds.Value), end(odds.High))
	ask(line, func(want []float64) {
		agree(t, line, "two-sided p", c.Fisher.TwoSided, want[0], 1e-7)
		agree(t, line, "p less", c.Fisher.Less, want[1], 1e-7)
		agree(t, line, "p greater", c.Fisher.Greater, want[2], 1e-7)
		if !math.IsNaN(want[3]) {
			agree(t, line, "chi-squared", c.ChiSquared.Statistic+1, want[3]+1, 1e-8)
			agree(t, line, "p of chi-squared", c.ChiSquared.P, want[4], 1e-7)
		}
		for i, got := range []float64{odds.Low, odds.Value, odds.High} {
			// R searches the odds ratio, or its inverse above 1, to about 0.0001.
			roughly := func(x float64) float64 { return min(x, 1/x) }
			if printed := want[5+i]; !(math.Abs(roughly(got)-roughly(printed)) <= 3e-4) {
				t.Errorf("%s: odds ratio %v, R says about %v", line, got, printed)
			}
		}
		alpha := (1 - level) / 2
		for i, certified := range []struct {
			what string
			want float64
		}{{"tail above the lower end", alpha}, {"mean beyond the table seen", 0}, {"tail below the upper end", alpha}} {
			if got := want[8+i]; !math.IsNaN(got) && math.Abs(got-certified.want) > 1e-8 {
				t.Errorf("%s: %s is %v, want %v", line, certified.what, got, certified.want)
			}
		}
	})
}

func askStrata(t *testing.T, ask func(string, func([]float64)), tables []stat.Pair, level float64) {
	line := fmt.Sprintf("strata %v", level)
	var strata []stat.Stratum
	for _, p := range tables {
		line += " " + cells(p)
		strata = append(strata, stat.Stratum{Pair: p})
	}
	pooled := ok[stat.Pooled](t)(stat.MantelHaenszel(strata, level))
	ask(line, func(want []float64) {
		agree(t, line, "pooled odds ratio", pooled.OddsRatio.Value, want[0], 1e-8)
		if !math.IsNaN(want[1]) {
			agree(t, line, "low", pooled.OddsRatio.Low, want[1], 1e-8)
			agree(t, line, "high", pooled.OddsRatio.High, want[2], 1e-8)
		}
		agree(t, line, "chi-squared", pooled.Test.Statistic+1, want[3]+1, 1e-8)
		agree(t, line, "p", pooled.Test.P, want[4], 1e-7)
		if (pooled.Agreement == nil) != math.IsNaN(want[5]) {
			t.Errorf("%s: agreement %+v, R has %v", line, pooled.Agreement, want[5])
		} else if pooled.Agreement != nil {
			agree(t, line, "agreement", pooled.Agreement.Statistic+1, want[5]+1, 1e-6)
			agree(t, line, "p of agreement", pooled.Agreement.P, want[6], 1e-5)
		}
	})
}

// askPower holds what is said to show four times in five against the exact power of the
// test that decides.
func askPower(t *testing.T, ask func(string, func([]float64)), p stat.Pair, level float64) {
	d := ok[stat.Detectable](t)(stat.Detect(p, level))
	if !d.Possible() {
		t.Fatalf("%v: nothing would have shown", p)
	}
	line := fmt.Sprintf("power %d %d %v %v %v", p.First.Parts, p.Second.Parts, d.To, d.From, level)
	ask(line, func(want []float64) {
		if slack := 0.04; p.First.Parts*p.Second.Parts <= 10_000 {
			agree(t, line, "power", want[0], d.Power, 1e-6)
		} else if math.Abs(want[0]-d.Power) > slack {
			t.Errorf("%s: R finds a power of %v, want about %v", line, want[0], d.Power)
		}
	})
}

func askSearch(t *testing.T, ask func(string, func([]float64)), size, tested int, random *rand.Rand) {
	var causes []stat.Cause
	for range size {
		causes = append(causes, stat.Cause{P: math.Pow(random.Float64(), 3)})
	}
	search := ok[stat.Search](t)(stat.BenjaminiHochberg(causes, tested, 0.05))
	line := fmt.Sprintf("search %d", tested)
	for _, finding := range search.Findings {
		line += " " + end(finding.P)
	}
	ask(line, func(want []float64) {
		for i, finding := range search.Findings {
			agree(t, line, "adjusted p", finding.Adjusted, want[i], 1e-12)
		}
	})
}

// TestAgainstSciPy compares the conditional odds ratio and its exact interval to all
// digits, which R's own search does not give.
func TestAgainstSciPy(t *testing.T) {
	var cases []string
	tables := randomTables()[:120]
	for i, p := range tables {
		cases = append(cases, fmt.Sprintf("%s %v", cells(p), level(i)))
	}
	const python = "/usr/bin/python3"
	for i, want := range run(t, cases, []string{"-c", "import scipy.stats.contingency"}, python, filepath.Join("testdata", "reference.py")) {
		odds := ok[stat.Effect](t)(stat.ConditionalOddsRatio(tables[i], level(i))).Size
		agree(t, cases[i], "odds ratio", odds.Value, want[0], 1e-7)
		agree(t, cases[i], "low", odds.Low, want[1], 1e-7)
		agree(t, cases[i], "high", odds.High, want[2], 1e-7)
		agree(t, cases[i], "p", ok[stat.Fisher](t)(stat.FisherExact(tables[i])).TwoSided, want[3], 1e-7)
	}
}
