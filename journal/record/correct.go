package record

import (
	"bytes"
	"cmp"
	"errors"
	"iter"
	"slices"

	"fettlebook/journal"
)

// correct strikes the lines that corrections name. A correction is settled
// when all that could strike it are settled, so the outcome does not hang on
// any order; what goes round in a circle is never settled and stays inert.
func correct(lines []Line, by ids) {
	corrections := corrections(lines, by)
	waits := make(map[journal.EntryID]int) // how many unsettled corrections name the id
	for _, c := range corrections {
		waits[c.Corrects]++
	}
	var ready []*Line
	for _, c := range corrections {
		if waits[c.ID] == 0 {
			ready = append(ready, c)
		}
	}
	for len(ready) > 0 {
		c := ready[0]
		ready = ready[1:]
		c.replace()
		waits[c.Corrects]--
		for t := range by.named(c.Corrects) {
			t.strike(c)
			if waits[t.ID] == 0 && !t.Corrects.IsZero() {
				ready = append(ready, t)
			}
		}
	}
	for _, c := range corrections {
		if waits[c.ID] > 0 {
			c.flag(Circular)
		}
		for t := range by.named(c.Corrects) {
			t.replace()
		}
	}
}

// ids finds lines by their ids.
type ids []*Line

func newIDs(lines []Line) ids {
	list := make(ids, len(lines))
	for i := range lines {
		list[i] = &lines[i]
	}
	slices.SortFunc(list, func(a, b *Line) int { return cmp.Or(bytes.Compare(a.ID[:], b.ID[:]), replay(a, b)) })
	return list
}

// named yields the lines with the id: one, or several if a log was forked.
func (list ids) named(id journal.EntryID) iter.Seq[*Line] {
	return func(yield func(*Line) bool) {
		i, _ := slices.BinarySearchFunc(list, id, func(l *Line, id journal.EntryID) int { return bytes.Compare(l.ID[:], id[:]) })
		for ; i < len(list) && list[i].ID == id; i++ {
			if !yield(list[i]) {
				return
			}
		}
	}
}

// strike draws the line of a settled correction through l, unless that acts no
// more, may not, or a later one holds.
func (l *Line) strike(by *Line) {
	c, acts := by.Effect().(*journal.Correction)
	if !acts || !by.mayCorrect(l) || l.Struck != nil && replay(l.Struck.correction, by) > 0 {
		return
	}
	l.Struck = &Strike{
		At: by.ID, By: by.By, Time: by.Clocks.Device,
		Reason: c.Reason, Replacement: c.Data,
		correction: by,
	}
}

// replace reads what stands instead of a struck line, once all strikes at it
// are known.
func (l *Line) replace() {
	if l.Struck == nil || len(l.Struck.Replacement) == 0 || l.Struck.now != nil {
		return
	}
	now, err := journal.ParseReplacement(journal.Type{Kind: l.Kind, Version: l.Version}, l.Struck.Replacement)
	if c, ok := now.(*journal.Correction); ok && c.Of != l.Corrects {
		err = errors.New("the replacement corrects another entry")
	}
	switch {
	case err == nil:
		l.Struck.now = now
	case !errors.Is(err, journal.ErrUnknownKind):
		l.Struck.correction.flag(BadReplacement)
	}
}
