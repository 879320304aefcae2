package dossier

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/witnessed"

	"golang.org/x/mod/sumdb/tlog"
)

// Witnessed keeps what others said of states of the hub's log: of the first
// state of at least a size of which somebody said something. Nothing is
// nothing, and no error.
type Witnessed interface {
	Since(ctx context.Context, size int64) (witnessed.Kept, error)
}

// witness finds the first state of the hub's log after all that was chosen of
// it of which somebody outside said something, and takes the entry of the hub
// that says how long all logs were before that: so the tablets' entries existed
// by then too. A state of another history, as a hub has one that was restored
// from an old copy, says nothing of this one.
func (b *build) witness() error {
	if b.Witnessed == nil {
		return nil
	}
	size := int64(0)
	for at := range b.picked {
		if at.Device == b.d.Hub {
			size = max(size, at.Index+1)
		}
	}
	for {
		kept, err := b.Witnessed.Since(b.ctx, size)
		if err != nil || !kept.Said() {
			return err
		}
		fits, err := b.holds(kept)
		if err != nil {
			return err
		}
		if fits {
			b.kept, b.d.Witnesses = kept, kept.Witnesses
			break
		}
		size = kept.Size + 1
	}
	if l := b.anchor(b.kept.Size); l != nil {
		b.take(l, evidence.ForOrder)
	}
	return nil
}

// holds reports whether the hub's log has the state that somebody spoke of.
func (b *build) holds(kept witnessed.Kept) (bool, error) {
	head, err := b.Log.Head(b.ctx, b.d.Hub)
	if err != nil || head.Size < kept.Size {
		return false, err
	}
	stored, err := b.Log.Hashes(b.ctx, b.d.Hub)
	if err != nil {
		return false, err
	}
	root, err := tlog.TreeHash(kept.Size, stored)
	if err != nil {
		return false, fmt.Errorf("the root of the hub’s log at %d: %w", kept.Size, err)
	}
	keys := b.hubKeys()
	c, err := keys.OpenState(kept.Note)
	return err == nil && c.Size == kept.Size && c.Root == root, nil
}

// anchor returns the newest entry below a size of the hub's log by which the
// hub noted its own log, and with it what it had seen of all others.
func (b *build) anchor(size int64) (last *record.Line) {
	for _, l := range b.view.Cites(journal.Of("device", string(b.d.Hub))) {
		at := l.Position()
		if l.Kind == journal.LogsNoted && at.Device == b.d.Hub && at.Index < size && (last == nil || at.Index > last.Position().Index) {
			last = l
		}
	}
	return last
}

// spoken puts the state of the hub's log that others spoke of among those in
// which it is proven, in the place of the one of its size.
func (b *build) spoken(list []state) []state {
	at, same := slices.BinarySearchFunc(list, b.kept.Size, func(s state, size int64) int { return cmp.Compare(s.size, size) })
	if same {
		list[at].note = b.kept.Note
		return list
	}
	return slices.Insert(list, at, state{b.kept.Size, b.kept.Note})
}

// packStamp writes the answer of a timestamp authority.
func (b *build) packStamp(out *bag.Writer) error {
	if b.kept.Stamp == nil {
		return nil
	}
	_, err := out.AddBytes(b.ctx, evidence.StampPath(b.d.Hub, b.kept.Size), b.kept.Stamp)
	return err
}
