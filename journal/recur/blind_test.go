package recur_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// renamed swaps the words of every column of factors, and the castings, among
// each other, and says what each is called then.
func renamed(table *parts.Table, dice *rand.Rand) (*parts.Table, map[parts.Name]map[string]string) {
	called := make(map[parts.Name]map[string]string)
	for _, c := range parts.Columns() {
		if c.Kind != parts.Word || c.Role != parts.Factor && c.Name != parts.Casting {
			continue
		}
		_, words := table.Words(c.Name)
		called[c.Name] = make(map[string]string)
		for i, k := range dice.Perm(len(words)) {
			called[c.Name][words[i]] = words[k]
		}
	}
	var rows []parts.Row
	for i := range table.Len() {
		r := table.Row(i)
		for name, as := range called {
			r.Put(name, parts.Text(as[r.Get(name).String()]))
		}
		rows = append(rows, r)
	}
	return parts.New(rows...), called
}

// What is found rests on which parts have the same words, and not on the words:
// with all of them swapped the same is found, under its other names.
func TestNamesDoNotMatter(t *testing.T) {
	for seed, cause := range append(causes(), invented.Nothing) {
		table := invented.Make(invented.Setting{Seed: uint64(seed), Parts: 400, Cause: cause, Mixed: cause != invented.Nothing}).Table()
		other, called := renamed(table, rand.New(rand.NewPCG(uint64(seed), 31)))
		q := recur.Question{Defect: "pinhole", People: true}
		want, err := recur.Of(table, q)
		if err != nil {
			t.Fatal(err)
		}
		got, err := recur.Of(other, q)
		if err != nil {
			t.Fatal(err)
		}
		as := func(name parts.Name, split string) string {
			if to, ok := called[name][split]; ok {
				return to
			}
			return split
		}
		if len(got.Accused) != len(want.Accused) || len(got.Factors) != len(want.Factors) || got.Tries != want.Tries {
			t.Fatalf("%s: accused %s, and %s under other names; %d and %d tries", cause, accused(want), accused(got), want.Tries, got.Tries)
		}
		for i, w := range want.Accused {
			g := got.Accused[i]
			if w.Name == recur.SameRack { // its name is made of two columns
				w.Split = g.Split
			}
			if w.Split = as(w.Name, w.Split); g.Name != w.Name || g.Split != w.Split || fmt.Sprint(g.Together) != fmt.Sprint(w.Together) || math.Abs(g.P-w.P) > 1e-9*w.P {
				t.Errorf("%s: accused is %+v, want %+v", cause, g, w)
			}
		}
		for _, w := range want.Factors {
			g := got.Of(w.Name)
			if math.Abs(g.P-w.P) > 1e-9*w.P || math.Abs(g.Adjusted-w.Adjusted) > 1e-9 || g.Pair != w.Pair || g.Because != w.Because || g.Of != w.Of {
				t.Errorf("%s, %s: p %v, %v, %s; want p %v, %v, %s", cause, w.Name, g.P, g.Pair, g.Because, w.P, w.Pair, w.Because)
			}
		}
	}
}
