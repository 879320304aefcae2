package recur

import (
	"fmt"
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
	derived := func(name parts.Name, says, from string, key func(t *parts.Table, row int) string) {
		list = append(list, asked{
			column: parts.Column{Name: name, Kind: parts.Word, Role: parts.Factor, Says: says, From: from},
			group:  func(l *looked) grouping { return l.derived(key) }, apart: apartFrom(name),
		})
	}
	derived(SameDay, "day of powder", "the day on which the powder went on", func(t *parts.Table, row int) string { return t.At(row, parts.Date).String() })
	derived(SameRack, "rack within its bake", "rack and bake", func(t *parts.Table, row int) string {
		rack, bake := t.At(row, parts.Rack), t.At(row, parts.Bake)
		if !rack.Known() || !bake.Known() {
			return ""
		}
		return fmt.Sprintf("rack %s of %s", rack, bake)
	})
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

// derived groups the parts by a word that follows from their rows.
func (l *looked) derived(key func(t *parts.Table, row int) string) grouping {
	g := grouping{of: make([]int32, len(l.rows))}
	number := make(map[string]int32)
	for i, row := range l.rows {
		word := key(l.table, row)
		g.of[i] = unknown
		if word == "" {
			continue
		}
		at, ok := number[word]
		if !ok {
			at = int32(len(g.names))
			number[word] = at
			g.names = append(g.names, word)
		}
		g.of[i] = at
	}
	return g
}

// cameBack groups the later coats of castings by whether an earlier one had the
// defect. The table is in the order of the powders.
func (l *looked) cameBack() grouping {
	g := grouping{of: make([]int32, len(l.rows)), names: []string{"no", "yes"}}
	castings, _ := l.table.Words(parts.Casting)
	had := make(map[uint32]int32)
	for i, row := range l.rows {
		g.of[i] = unknown
		casting := castings[row]
		if casting == 0 {
			continue
		}
		before, known := had[casting]
		if known {
			g.of[i] = before
		}
		if l.bad[i] {
			before = 1
		}
		had[casting] = before
	}
	return g
}
