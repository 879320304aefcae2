package recur_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
	"fettlebook/journal/recur"
)

// asked is how many invented shops of each sort TestPlanted asks.
func asked(t *testing.T) int {
	text := os.Getenv("FETTLEBOOK_PLANTED")
	if text == "" {
		return 2
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("FETTLEBOOK_PLANTED is %q; give a number of shops", text)
	}
	return n
}

// trial is a sort of invented shop and how its studies went.
type trial struct {
	invented.Setting
	first, named int       // shops in which the planted cause came first; was among those accused
	byShop       []float64 // share of false finds in each
}

// planted is what a plan has planted: the factor, and how the side of a split
// begins that has it. Of a cause that no coat has there is no such side.
func planted(p *invented.Plan) (parts.Name, string) {
	for _, j := range p.Jobs {
		for _, c := range j.Coats {
			if !c.Planted {
				continue
			}
			switch p.Cause {
			case invented.OneLot:
				return parts.PowderLot, string(c.Lot.ID)
			case invented.CoolSoak:
				return parts.SoakOverBake, "up to "
			case invented.OnePattern:
				return parts.Pattern, c.Pattern
			case invented.OneDay:
				return recur.SameDay, c.Sprayed.Format(time.DateOnly)
			case invented.OnePlace:
				return parts.Place, c.Place
			}
		}
	}
	return "", "-"
}

// isPlanted reports whether what is accused is what was planted, by itself or as one
// of several that cannot be told apart.
func isPlanted(p *invented.Plan, s *recur.Study, a recur.Accused) bool {
	name, begins := planted(p)
	if a.Name == name {
		return strings.HasPrefix(a.Split, begins)
	}
	return slices.Contains(a.Together, name) && strings.HasPrefix(s.Of(name).Split, begins)
}

func (tr *trial) ask(t *testing.T, seeds int) {
	for seed := range seeds {
		set := tr.Setting
		set.Seed = uint64(seed)
		plan := invented.Make(set)
		s, err := recur.Of(plan.Table(), recur.Question{Defect: "pinhole"})
		if err != nil {
			t.Error(err)
			return
		}
		wrong, named := 0, false
		for i, a := range s.Accused {
			switch is := isPlanted(plan, s, a); {
			case is && i == 0:
				tr.first++
				named = true
			case is:
				named = true
			default:
				wrong++
				if testing.Verbose() {
					t.Logf("planted %v, seed %d: %s of %s", plan.Planted, seed, a.Split, accused(s))
				}
			}
		}
		if named {
			tr.named++
		}
		tr.byShop = append(tr.byShop, float64(wrong)/float64(max(1, len(s.Accused))))
	}
}

// Of causes planted in invented shops, how often the search finds them first,
// and how often it accuses something innocent. The share of false finds among
// all finds, on average over the shops, has to be one that chance gives at 5 %.
func TestPlanted(t *testing.T) {
	var trials []*trial
	for _, n := range []int{300, 1000, 5000} {
		for _, cause := range append(causes(), invented.Nothing) {
			for _, mixed := range []bool{false, true} {
				if cause != invented.Nothing || !mixed {
					trials = append(trials, &trial{Setting: invented.Setting{Parts: n, Cause: cause, Mixed: mixed}})
				}
			}
		}
	}
	seeds := asked(t)
	t.Run("shops", func(t *testing.T) {
		for _, tr := range trials {
			t.Run(fmt.Sprintf("%d parts, %s%s", tr.Parts, tr.Cause, map[bool]string{true: ", mixed"}[tr.Mixed]), func(t *testing.T) {
				t.Parallel()
				tr.ask(t, seeds)
				if mean, low, high := spread(tr.byShop); low > 0.05 {
					t.Errorf("%.1f %% of the finds are false, %.1f to %.1f %%", 100*mean, 100*low, 100*high)
				}
			})
		}
	})
	var table strings.Builder
	fmt.Fprintf(&table, "| parts | planted | a person goes along | found first | found | false finds of all finds, a shop | 95 %% |\n|---|---|---|---|---|---|---|\n")
	for _, tr := range trials {
		if tr.byShop == nil {
			continue // not asked for
		}
		mean, low, high := spread(tr.byShop)
		first, found := fmt.Sprintf("%d of %d", tr.first, seeds), fmt.Sprint(tr.named)
		if tr.Cause == invented.Nothing {
			first, found = "–", "–"
		}
		fmt.Fprintf(&table, "| %d | %s | %s | %s | %s | %.1f %% | %.1f–%.1f %% |\n", tr.Parts, tr.Cause, map[bool]string{true: "yes", false: "no"}[tr.Mixed], first, found, 100*mean, 100*low, 100*high)
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

// causes are those that can be planted.
func causes() []invented.Cause {
	return []invented.Cause{invented.OneLot, invented.CoolSoak, invented.OnePattern, invented.OneDay, invented.OnePlace}
}
