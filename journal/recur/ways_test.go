package recur

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"fettlebook/journal/trade/stat"
)

// The tables of a split are those that counting every part gives, whatever was
// asked for before.
func TestWays(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 11))
	for range 300 {
		n, strata := 1+r.IntN(200), 1+r.IntN(12)
		g := grouping{number: r.IntN(2) == 0, of: make([]int32, n)}
		for i := range 1 + r.IntN(9) {
			g.names = append(g.names, strconv.Itoa(i))
		}
		l := &looked{bad: make([]bool, n), stratum: make([]int, n), strata: make([]string, strata)}
		for i := range n {
			g.of[i] = int32(r.IntN(len(g.names)+1)) - 1 // or unknown
			l.bad[i], l.stratum[i] = r.IntN(4) == 0, r.IntN(strata)
		}
		g = g.sorted()
		w := g.ways(l.count(g), strata)
		for range 4 * w.len() {
			at := r.IntN(w.len())
			if got, want := fmt.Sprint(w.tables(at)), fmt.Sprint(counted(l, g, at)); got != want {
				t.Fatalf("split %d of %+v: %s, want %s", at, g, got, want)
			}
		}
	}
}

func counted(l *looked, g grouping, at int) (list []stat.Pair) {
	for s := range l.strata {
		var p stat.Pair
		for i, group := range g.of {
			if group == unknown || l.stratum[i] != s {
				continue
			}
			side := &p.Second
			if g.within(int(group), at) {
				side = &p.First
			}
			if side.Parts++; l.bad[i] {
				side.Defects++
			}
		}
		if p.First.Parts > 0 && p.Second.Parts > 0 && p.First.Defects+p.Second.Defects > 0 {
			list = append(list, p)
		}
	}
	return list
}

// What is tried on several processors is tried once each.
func TestEach(t *testing.T) {
	for _, n := range []int{0, 1, 7, 1000} {
		done, want := make([]int, n), make([]int, n)
		each(n, func(i int) { done[i]++ })
		for i := range want {
			want[i] = 1
		}
		if !slices.Equal(done, want) {
			t.Errorf("of %d: %v", n, done)
		}
	}
}
