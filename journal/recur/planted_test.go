package recur_test

import (
	"flag"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

var seeds = flag.Int("seeds", 12, "how many invented shops of each sort TestPlanted asks")

// trial is a sort of invented shop and how its studies went.
type trial struct {
	invented.Setting
	first, named int // the planted cause came first; it was among those accused
	finds, wrong int
	byShop       []float64 // share of false finds in each
}

// isPlanted reports whether what is accused is what was planted, by itself or as one
// of several that cannot be told apart.
func isPlanted(c invented.Cause, a recur.Accused) bool {
	name := map[invented.Cause]parts.Name{
		invented.OneLot: parts.PowderLot, invented.CoolSoak: parts.SoakOverBake, invented.OnePattern: parts.Pattern,
		invented.OneDay: recur.SameDay, invented.OnePlace: parts.Place,
	}[c]
	return a.Name == name || slices.Contains(a.Together, name)
}

func (tr *trial) ask(t *testing.T, seeds int) {
	for seed := range seeds {
		set := tr.Setting
		set.Seed = uint64(seed)
		s, err := recur.Of(invented.Make(set).Table(), recur.Question{Defect: "pinhole"})
		if err != nil {
			t.Error(err)
			return
		}
		wrong := 0
		for i, a := range s.Accused {
			switch planted := isPlanted(tr.Cause, a); {
			case planted && i == 0:
				tr.first++
				tr.named++
			case planted:
				tr.named++
			default:
				wrong++
				if testing.Verbose() {
					t.Logf("%s, %d parts, mixed %v, seed %d: %s %s, p %.2g; all: %v", tr.Cause, tr.Parts, tr.Mixed, seed, a.Name, a.Split, a.P, s.Accused)
				}
			}
		}
		tr.finds += len(s.Accused)
		tr.wrong += wrong
		tr.byShop = append(tr.byShop, float64(wrong)/float64(max(1, len(s.Accused))))
	}
}

// Of causes planted in invented shops, how often the search finds them first,
// and how often it accuses something innocent. The share of false finds among
// all finds, on average over the shops, has to be one that chance gives at 5 %.
func TestPlanted(t *testing.T) {
	var trials []*trial
	for _, n := range []int{300, 1000, 5000} {
		for _, cause := range append(invented.Causes(), invented.Nothing) {
			for _, mixed := range []bool{false, true} {
				if cause != invented.Nothing || !mixed {
					trials = append(trials, &trial{Setting: invented.Setting{Parts: n, Cause: cause, Mixed: mixed}})
				}
			}
		}
	}
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	var working sync.WaitGroup
	for _, tr := range trials {
		working.Go(func() {
			turn <- struct{}{}
			tr.ask(t, *seeds)
			<-turn
		})
	}
	working.Wait()
	var table strings.Builder
	fmt.Fprintf(&table, "| parts | planted | mixed | first | found | false finds of all finds, a shop | 95 %% |\n|---|---|---|---|---|---|---|\n")
	for _, tr := range trials {
		mean, low, high := spread(tr.byShop)
		fmt.Fprintf(&table, "| %d | %s | %s | %d of %d | %d | %.1f %% | %.1f-%.1f %% |\n", tr.Parts, tr.Cause, map[bool]string{true: "yes", false: "no"}[tr.Mixed], tr.first, *seeds, tr.named, 100*mean, 100*low, 100*high)
		if low > 0.05 {
			t.Errorf("%s in %d parts, mixed %v: %.1f %% of the finds are false, %.1f to %.1f %%", tr.Cause, tr.Parts, tr.Mixed, 100*mean, 100*low, 100*high)
		}
	}
	t.Log("\n" + table.String())
}

// spread is the mean of shares with the 95 % interval of a mean.
func spread(shares []float64) (mean, low, high float64) {
	for _, s := range shares {
		mean += s / float64(len(shares))
	}
	squares := 0.0
	for _, s := range shares {
		squares += (s - mean) * (s - mean)
	}
	n := float64(len(shares))
	if n < 2 {
		return mean, 0, 1
	}
	reach := 1.96 * math.Sqrt(squares/max(1, n-1)/n)
	return mean, max(0, mean-reach), mean + reach
}
