package readonly

import (
	"cmp"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// CloseUp is a photograph of a defect, as it stands in a row of others: all are
// as large and of one shape, so that they can be held against each other.
type CloseUp struct {
	Thumb, Path string // the picture, and its place on the entry's page
	Shows       string
	Place, Day  string
	Of          journal.Subject // the part
}

// CloseUps are photographs of the defects of coats, the newest coat first and
// one of each, and how many more coats have a defect that is not among them
// because there are so many. Look is what the defects look like, "" for any.
func CloseUps(s *live.Snapshot, t *parts.Table, look string, most int) (list []CloseUp, more int) {
	t = t.Only(func(row int) bool { return !defectEntry(t, row, look).IsZero() })
	rows := t.Sorted(parts.Date, true)
	for len(list) < most && len(rows) > 0 {
		some := rows[:min(most-len(list), len(rows))]
		rows = rows[len(some):]
		found := DefectsOf(s, t, some)
		for _, row := range some {
			if c, ok := found[row]; ok {
				list = append(list, c)
			}
		}
	}
	return list, len(rows)
}

// DefectsOf are the photographs of the defects of some coats, by their rows; those
// without are left out. No job is folded for it.
func DefectsOf(s *live.Snapshot, t *parts.Table, rows []int) map[int]CloseUp {
	at := make(map[journal.EntryID]int)
	var ids []journal.EntryID
	for _, row := range rows {
		if id := defectEntry(t, row, ""); !id.IsZero() {
			at[id], ids = row, append(ids, id)
		}
	}
	found := make(map[int]CloseUp)
	if len(ids) == 0 {
		return found
	}
	for _, l := range s.Loose(ids...) {
		if c, ok := closeUp(l); ok {
			found[at[l.ID]] = c
		}
	}
	return found
}

// defectEntry is the entry of a coat's defect; none if the coat has no such defect.
func defectEntry(t *parts.Table, row int, look string) (none journal.EntryID) {
	seen, _ := t.Defects(row)
	if len(seen) == 0 || look != "" && !slices.Contains(seen, look) {
		return none
	}
	id, err := journal.ParseEntryID(t.At(row, parts.Entry).String())
	if err != nil {
		return none // the table does not say which one it was
	}
	return id
}

func closeUp(l *record.Line) (c CloseUp, ok bool) {
	at := slices.IndexFunc(l.Photos, func(p record.Photo) bool { return p.Withdrawn.IsZero() })
	if l.Effect() == nil || at < 0 { // struck out, or nobody took one
		return c, false
	}
	snap := snaps(l)[at]
	return CloseUp{Thumb: snap.Thumb, Path: snap.Path, Shows: cmp.Or(l.Photos[at].Role, "the defect"), Place: words.Capital(pages.Place(l.Subject)), Day: l.Writing().Day(time.Time(l.Clocks.Device)), Of: l.Subject}, true
}
