package recur

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal/parts"
)

// Factors that are not columns of the table, but follow from it.
const (
	SameDay  parts.Name = "same_day"  // the day of the powder
	SameRack parts.Name = "same_rack" // the rack within its bake
	CameBack parts.Name = "came_back" // the casting had the defect under an earlier coat
)

// asked is a factor that is tried.
type asked struct {
	column parts.Column
	group  func(l *looked) grouping
	apart  []parts.Name // what is held equal while it is tried
}

// factors lists all that are tried: the factors of the table, and those that
// follow from it.
func factors(people bool) (list []asked) {
	for _, c := range parts.Columns() {
		if c.Role != parts.Factor {
			continue
		}
		a := asked{column: c, apart: apartFrom(c.Name)}
		switch {
		case c.Kind == parts.Number:
			a.group = func(l *looked) grouping { return l.numbers(c.Name) }
		case c.Person && !people:
			a.group = func(l *looked) grouping { return l.words(c.Name, lettered()) }
		default:
			a.group = func(l *looked) grouping { return l.words(c.Name, asWritten) }
		}
		list = append(list, a)
	}
	derived := func(name parts.Name, says, from string, group func(l *looked) grouping) {
		list = append(list, asked{
			column: parts.Column{Name: name, Kind: parts.Word, Role: parts.Factor, Says: says, From: from},
			group:  group, apart: apartFrom(name),
		})
	}
	derived(SameDay, "day of powder", "the day on which the powder went on", (*looked).days)
	derived(SameRack, "rack within its bake", "rack and bake", (*looked).racks)
	list = append(list, asked{
		column: parts.Column{Name: CameBack, Kind: parts.YesNo, Role: parts.Factor, Says: "the same casting again", From: "an earlier coat of the casting had the defect; absent of a casting that had none before"},
		group:  func(l *looked) grouping { return l.cameBack() }, apart: apartFrom(CameBack),
	})
	return list
}

func asWritten(word string) string { return word }

// lettered calls people by letters, in the order in which they come up.
func lettered() func(string) string {
	called := make(map[string]string)
	return func(name string) string {
		if called[name] == "" {
			n := len(called)
			called[name] = "person " + strings.Repeat(string(rune('A'+n%26)), 1+n/26)
		}
		return called[name]
	}
}

// apartFrom lists what is held equal while a factor is tried: the kind of part
// and its metal, but of these not the factor itself.
func apartFrom(name parts.Name) (list []parts.Name) {
	for _, n := range []parts.Name{parts.What, parts.Metal} {
		if n != name {
			list = append(list, n)
		}
	}
	return list
}

// days groups the parts by the day of their powder.
func (l *looked) days() grouping {
	day := l.table.Numbers(parts.Date)
	return derived(l, func(row int) (float64, bool) { return day[row], !math.IsNaN(day[row]) },
		func(row int) string { return l.table.At(row, parts.Date).String() })
}

// racks groups them by the rack of one bake.
func (l *looked) racks() grouping {
	rack, racks := l.table.Words(parts.Rack)
	bake, bakes := l.table.Words(parts.Bake)
	return derived(l, func(row int) ([2]uint32, bool) {
		return [2]uint32{rack[row], bake[row]}, rack[row] > 0 && bake[row] > 0
	},
		func(row int) string { return fmt.Sprintf("rack %s of %s", racks[rack[row]-1], bakes[bake[row]-1]) })
}

// derived groups the parts by what follows from their rows. A group is named
// after the first of its rows.
func derived[K comparable](l *looked, key func(row int) (K, bool), name func(row int) string) grouping {
	g := grouping{of: make([]int32, len(l.rows))}
	number := make(map[K]int32)
	for i, row := range l.rows {
		g.of[i] = unknown
		k, known := key(row)
		if !known {
			continue
		}
		at, ok := number[k]
		if !ok {
			at = int32(len(g.names))
			number[k] = at
			g.names = append(g.names, name(row))
		}
		g.of[i] = at
	}
	return g
}

// cameBack groups the later coats of castings by whether an earlier one had the
// defect. The table is in the order of the powders.
func (l *looked) cameBack() grouping {
	castings, _ := l.table.Words(parts.Casting)
	had := make(map[uint32]bool)
	came := make(map[int]bool) // by row, of those that were here before
	for i, row := range l.rows {
		casting := castings[row]
		if casting == 0 {
			continue
		}
		if before, known := had[casting]; known {
			came[row] = before
		}
		had[casting] = had[casting] || l.bad[i]
	}
	return derived(l, func(row int) (bool, bool) { before, known := came[row]; return before, known },
		func(row int) string { return map[bool]string{true: "yes", false: "no"}[came[row]] })
}
