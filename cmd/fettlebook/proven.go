package main

import (
	"context"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// proving checks, while a journal is read, that each log is what its device
// signed last.
type proving struct {
	log   *sqlitelog.DB
	heads []journal.Head // as they were before reading began
	trees map[journal.DeviceID]*proof.Tree
}

func prove(ctx context.Context, log *sqlitelog.DB) (*proving, error) {
	heads, err := log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	p := &proving{log: log, heads: heads, trees: make(map[journal.DeviceID]*proof.Tree)}
	for _, h := range heads {
		p.trees[h.Device] = new(proof.Tree)
	}
	return p, nil
}

// entries yields all entries, and hashes them into the tree of their log up
// to its head.
func (p *proving) entries(ctx context.Context) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		for e, err := range p.log.All(ctx) {
			if tree := p.trees[e.Device]; err == nil && tree != nil && tree.Size() < p.size(e.Device) {
				tree.Append(e.Bytes)
			}
			if !yield(e, err) {
				return
			}
		}
	}
}

func (p *proving) size(device journal.DeviceID) int64 {
	i := slices.IndexFunc(p.heads, func(h journal.Head) bool { return h.Device == device })
	return p.heads[i].Size
}

// unproven lists the logs that are not what their devices signed.
func (p *proving) unproven(ctx context.Context) ([]journal.DeviceID, error) {
	var list []journal.DeviceID
	for _, h := range p.heads {
		if h.Size == 0 {
			continue
		}
		text, err := p.log.Key(ctx, h.Device)
		if err != nil {
			return nil, err
		}
		if !signs(text, h, p.trees[h.Device]) {
			list = append(list, h.Device)
		}
	}
	return list, nil
}

func signs(key string, h journal.Head, tree *proof.Tree) bool {
	verifier, err := proof.Verifier(key)
	if err != nil {
		return false
	}
	c, err := proof.Open(h.Checkpoint, verifier)
	return err == nil && c.Size == tree.Size() && c.Root == tree.Root()
}
