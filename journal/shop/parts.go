package shop

import (
	"context"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/index"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
)

// mostRows is up to how many rows the parts table stays in memory, some twenty
// megabytes; a larger one is made anew for whoever asks.
const mostRows = 60_000

// tabled is the parts table as it was when somebody asked for it last.
type tabled struct {
	mu    sync.Mutex
	table *parts.Table // nil until somebody asks
	stamp int64        // of the index: what changed after it is not in the table
}

// Parts returns the parts table of the whole shop: a row for each coat of each
// part, as all that is written amounts to. What is only supposed is not in it.
func (v *View) Parts() *parts.Table {
	if !v.shop.reads {
		_, err := v.shop.summarizeAll(v.ctx)
		v.note(err)
	}
	t, err := v.shop.parts.now(v.ctx, v.shop.index)
	v.note(err)
	return t
}

// now brings the table up to date with the index.
func (t *tabled) now(ctx context.Context, from *index.DB) (*parts.Table, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.table == nil {
		t.table, t.stamp = parts.New(), 0
	}
	list, stamp, err := from.Parts(ctx, t.stamp)
	if err != nil || len(list) == 0 {
		return t.table, err
	}
	changed := make(map[journal.JobID][]byte)
	for _, p := range list {
		changed[p.Home.Job()] = p.Body
	}
	table, err := t.table.WithPacked(changed)
	if err != nil {
		return t.table, err
	}
	if t.table, t.stamp = table, stamp; table.Len() > mostRows {
		t.table = nil
	}
	return table, nil
}

// forget drops the table, as the index is begun anew.
func (t *tabled) forget() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.table = nil
}

// partsOf are the rows of a job, packed.
func partsOf(j *record.Job, in *record.Shop) ([]byte, error) {
	return parts.Pack(facts.StockOf(in).Coats(j))
}
