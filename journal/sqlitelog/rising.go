package sqlitelog

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"fettlebook/journal"
)

// rising knows of each log which of its ids fall. It reads a log once, as far
// as it is asked, and goes on from a mark that the program that writes here
// leaves; a mark that is lost is made again.
type rising struct {
	mu   sync.Mutex
	logs map[int64]risen
}

// risen is what the first entries of a log say: the greatest id, and which
// entries do not rise over all before them. falls only grows at its end, so
// copies may share it.
type risen struct {
	size  int64
	top   journal.Top
	falls []span
}

// span is entries of a log, both ends included.
type span struct{ first, last int64 }

// next takes the entry at the end in and reports whether its id falls.
// Bytes that are not an entry have none.
func (r *risen) next(e *journal.Entry) bool {
	at := r.size
	r.size++
	if e == nil || !r.top.Falls(e.ID) {
		return false
	}
	if n := len(r.falls); n > 0 && r.falls[n-1].last == at-1 {
		r.falls = append(slices.Clone(r.falls[:n-1]), span{r.falls[n-1].first, at})
	} else {
		r.falls = append(slices.Clip(r.falls), span{at, at})
	}
	return true
}

// falling reports whether the id of an entry falls that was taken in.
func (r *risen) falling(at int64) bool {
	_, found := slices.BinarySearchFunc(r.falls, at, func(s span, at int64) int {
		switch {
		case s.last < at:
			return -1
		case s.first > at:
			return 1
		default:
			return 0
		}
	})
	return found
}

const markRising = "rising/"

// String is the form of the mark: how many entries, the greatest id, and the
// spans that fall.
func (r *risen) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d %s", r.size, journal.EntryID(r.top))
	for _, s := range r.falls {
		fmt.Fprintf(&b, " %d-%d", s.first, s.last)
	}
	return b.String()
}

// parseRisen reads a mark; one that cannot be read is as good as lost.
func parseRisen(text string) (r risen) {
	words := strings.Fields(text)
	if len(words) < 2 {
		return risen{}
	}
	id, err := journal.ParseEntryID(words[1])
	if _, err2 := fmt.Sscanf(words[0], "%d", &r.size); err != nil || err2 != nil {
		return risen{}
	}
	r.top = journal.Top(id)
	for _, w := range words[2:] {
		var s span
		if _, err := fmt.Sscanf(w, "%d-%d", &s.first, &s.last); err != nil {
			return risen{}
		}
		r.falls = append(r.falls, s)
	}
	return r
}

// rises returns what is known of at least the first entries of a log, as many
// as are asked for and here.
func (db *DB) rises(ctx context.Context, q querier, row logRow, size int64) (risen, error) {
	db.rising.mu.Lock()
	defer db.rising.mu.Unlock()
	r, ok := db.rising.logs[row.log]
	if !ok {
		text, err := mark(ctx, q, markRising+string(row.device))
		if err != nil {
			return r, err
		}
		r = parseRisen(text)
	}
	for r.size < size {
		list, err := entriesPage(ctx, q, row, r.size)
		if err != nil {
			return r, err
		}
		for _, l := range list {
			e, err := journal.Decode(l.Bytes)
			if err != nil {
				e = nil
			}
			r.next(e)
		}
		if len(list) < page {
			break
		}
	}
	db.rising.keep(row.log, r)
	return r, nil
}

// keep notes what is known of a log. mu is held.
func (k *rising) keep(log int64, r risen) {
	if k.logs == nil {
		k.logs = make(map[int64]risen)
	}
	if r.size >= k.logs[log].size {
		k.logs[log] = r
	}
}

// rose notes what was written to a log after it is on the disk.
func (k *rising) rose(log int64, r risen) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.keep(log, r)
}

// lookThrough goes through what the marks do not cover: once through all of a
// database that an earlier program wrote, and through the last run's own
// entries.
func (db *DB) lookThrough(ctx context.Context) error {
	logs, err := logRows(ctx, db.write)
	if err != nil {
		return err
	}
	for _, row := range logs {
		n, err := size(ctx, db.write, row.log)
		if err != nil {
			return err
		}
		r, err := db.rises(ctx, db.write, row, n)
		if err != nil {
			return err
		}
		if err := saveRisen(ctx, db.write, row, r); err != nil {
			return err
		}
	}
	return nil
}

func saveRisen(ctx context.Context, q querier, row logRow, r risen) error {
	if r.size == 0 {
		return nil
	}
	return setMark(ctx, q, markRising+string(row.device), r.String())
}
