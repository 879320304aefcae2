package dossier

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/evidence"

	"golang.org/x/mod/sumdb/tlog"
)

// cite describes the states of the logs that the chosen entries cite, each
// proven to be a beginning of its log. What is cited beyond what is here
// cannot be shown.
func (b *build) cite() error {
	cited := make(map[journal.Position]bool) // of each log, so many entries
	for _, i := range b.items {
		for _, p := range i.after {
			if p.Device != i.at.Device {
				cited[journal.Position{Device: p.Device, Index: p.Size}] = true
			}
		}
		if i.seen.Size > 0 && i.at.Device != b.d.Hub {
			cited[journal.Position{Device: b.d.Hub, Index: i.seen.Size}] = true
		}
	}
	for at := range cited {
		l := b.logs[at.Device]
		if l == nil || at.Index < 1 || at.Index > l.states[len(l.states)-1].size {
			continue
		}
		root, err := tlog.TreeHash(at.Index, l.stored)
		if err != nil {
			return fmt.Errorf("the root of the log of %s at %d: %w", at.Device, at.Index, err)
		}
		grown, err := l.grown(l.covering(at.Index-1).size, at.Index)
		if err != nil {
			return err
		}
		b.d.Cited = append(b.d.Cited, evidence.Cited{Device: at.Device, Size: at.Index, Root: journal.Digest(root), Grown: grown})
	}
	slices.SortFunc(b.d.Cited, func(a, c evidence.Cited) int {
		return cmp.Or(cmp.Compare(a.Device, c.Device), cmp.Compare(a.Size, c.Size))
	})
	return nil
}
