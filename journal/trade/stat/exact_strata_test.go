package stat_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"fettlebook/journal/trade/stat"
)

// R's mantelhaen.test(exact = TRUE) is the reference; of a single stratum, fisher.test.
func TestExactStrataAgainstR(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 85))
	var cases []string
	var all [][]stat.Pair
	for range 120 {
		var tables []stat.Pair
		line := "strata"
		for range 1 + random.IntN(5) {
			n1, n2 := 2+random.IntN(40), 2+random.IntN(60)
			p := stat.Cells(0, n1, 0, n2)
			p.First.Defects, p.Second.Defects = random.IntN(n1), 1+random.IntN(n2-1)
			tables = append(tables, p)
			line += " " + cells(p)
		}
		all, cases = append(all, tables), append(cases, line)
	}
	for i, want := range run(t, cases, []string{"--version"}, "Rscript", "--vanilla", filepath.Join("testdata", "exact_strata.R")) {
		got := stat.ExactStrata(all[i]...)
		about := fmt.Sprint(all[i])
		agree(t, about, "two-sided p", got.P, want[0], 1e-6)
		agree(t, about, "p more", got.More, want[1], 1e-6)
		agree(t, about, "p fewer", got.Fewer, want[2], 1e-6)
	}
}

func TestExactStrata(t *testing.T) {
	tea := stat.ExactStrata(stat.Cells(3, 1, 1, 3)) // Fisher's tea tasting, The Design of Experiments, 1935
	agree(t, "tea", "p more", tea.More, 17.0/70, 1e-12)
	agree(t, "tea", "two-sided p", tea.P, 34.0/70, 1e-12)
	agree(t, "tea", "least p", tea.Least, 2.0/70, 1e-12)
	agree(t, "tea", "expected", tea.Expect, 2, 1e-12)

	if none := stat.ExactStrata(); none.P != 1 || none.Least != 1 {
		t.Errorf("without tables: %+v", none)
	}
	empty := stat.ExactStrata(stat.Cells(3, 1, 1, 3), stat.Cells(0, 9, 0, 4), stat.Cells(2, 8, 0, 0), stat.Cells(0, 0, 0, 0))
	agree(t, "with strata that tell nothing", "two-sided p", empty.P, tea.P, 1e-12)

	far := stat.ExactStrata(stat.Cells(500, 0, 0, 20_000))
	if far.P > 1e-20 || far.P <= 0 || far.Fewer < 1-1e-12 {
		t.Errorf("far from chance: %+v", far)
	}
}

// What is said without the exact test holds for it.
func TestScarcely(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 3))
	told := 0
	for range 20_000 {
		var tables []stat.Pair
		for range 1 + random.IntN(8) {
			p := stat.Cells(0, random.IntN(5), random.IntN(30), random.IntN(90))
			if p.First.Parts > 0 && random.IntN(5) == 0 {
				p.First.Defects = 1
			}
			tables = append(tables, p)
		}
		least, p, ok := stat.Scarcely(tables...)
		if !ok {
			continue
		}
		told++
		exact := stat.ExactStrata(tables...)
		agree(t, fmt.Sprint(tables), "least p", least, exact.Least, 1e-9)
		if exact.P < p*(1-1e-9) {
			t.Errorf("%v: p is %g, and was said not to be below %g", tables, exact.P, p)
		}
	}
	if told < 5000 {
		t.Errorf("only %d of 20 000 are told", told)
	}
}
