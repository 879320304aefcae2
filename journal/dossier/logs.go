package dossier

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"

	tlogproof "github.com/transparency-dev/formats/proof"
	"golang.org/x/mod/sumdb/tlog"
)

// log is a log of which entries were chosen.
type log struct {
	device journal.DeviceID
	stored tlog.HashReader
	states []state // by rising size
}

// state is a signed state of a log.
type state struct {
	size int64
	note []byte
}

// admit finds the keys with which the register admitted the devices of the
// chosen entries. What a device wrote that it did not admit proves nothing.
func (b *build) admit() {
	keys := make(map[journal.DeviceID][]string)
	for _, at := range b.places() {
		p := b.picked[journal.Position(at)]
		if p.line == nil || at.Device != b.d.Hub || !p.line.Counts() && p.line.Waits == nil {
			continue // whoever checks it goes by what may be said in the hub's log
		}
		switch d := p.line.Payload.(type) {
		case *journal.Shop:
			hub := b.hubKeys()
			keys[b.d.Hub] = hub.LogKeys()
		case *journal.Device:
			keys[d.Device] = append(keys[d.Device], d.LogKey)
		}
	}
	for _, at := range b.places() {
		if len(keys[at.Device]) == 0 {
			delete(b.picked, journal.Position(at))
			b.leave("entries of a device that the register does not name", "nothing shows whose they are")
			continue
		}
		if b.logs[at.Device] == nil {
			b.logs[at.Device] = &log{device: at.Device}
			b.d.Logs = append(b.d.Logs, evidence.Log{Device: at.Device, Keys: keys[at.Device]})
		}
	}
	slices.SortFunc(b.d.Logs, func(a, c evidence.Log) int { return cmp.Compare(a.Device, c.Device) })
}

// hubKeys are the hub's keys, one after the other, as the register tells them.
func (b *build) hubKeys() proof.Succession {
	founded, ok := b.view.Shop.Founded.Payload.(*journal.Shop)
	if !ok {
		return proof.Succession{}
	}
	keys := proof.Founded(b.d.Shop, b.d.Hub, founded.LogKey, founded.CosignKey)
	keys.Agreed = proof.Told // who agreed is in the dossier
	var changes []*record.Line
	for _, l := range b.view.Shop.Lines {
		if l.Kind == journal.KeysChanged && l.Position().Device == b.d.Hub {
			changes = append(changes, l)
		}
	}
	slices.SortFunc(changes, func(a, c *record.Line) int { return cmp.Compare(a.Position().Index, c.Position().Index) })
	for _, l := range changes {
		if p, ok := l.Payload.(*journal.KeyChange); ok && keys.Follow(p, nil, l.Position().Index) != nil {
			continue // it is kept, and changes nothing
		}
	}
	return keys
}

// prove finds the states of the logs in which the chosen entries are proven,
// and proves how each grew out of the one before.
func (b *build) prove() error {
	need := make(map[journal.DeviceID][]int64)
	for _, at := range b.places() {
		need[at.Device] = append(need[at.Device], at.Index)
	}
	for i := range b.d.Logs {
		if err := b.ctx.Err(); err != nil {
			return err
		}
		of := &b.d.Logs[i]
		l := b.logs[of.Device]
		var err error
		if l.stored, err = b.Log.Hashes(b.ctx, of.Device); err != nil {
			return err
		}
		if l.states, err = b.statesOf(of.Device, need[of.Device]); err != nil {
			return err
		}
		if of.Device == b.d.Hub && b.kept.Said() {
			l.states = b.spoken(l.states)
		}
		before := int64(0)
		for _, s := range l.states {
			grown, err := l.grown(s.size, before)
			if err != nil {
				return err
			}
			stamped := of.Device == b.d.Hub && s.size == b.kept.Size && b.kept.Stamp != nil
			of.States = append(of.States, evidence.State{Size: s.size, Grown: grown, Stamped: stamped})
			before = s.size
		}
	}
	return nil
}

// statesOf returns of a log the first states that the hub countersigned after
// each of the entries, and the newest of all.
func (b *build) statesOf(device journal.DeviceID, need []int64) (list []state, err error) {
	size := int64(0) // of the last state
	next := func(after int64) (bool, error) {
		signed, err := b.Log.CountersignedSince(b.ctx, device, after, 1)
		if err != nil || len(signed) == 0 {
			return false, err
		}
		size = signed[0].Size
		list = append(list, state{size, signed[0].Note})
		return true, nil
	}
	for _, index := range need {
		if index < size {
			continue
		}
		held, err := next(index)
		if err != nil {
			return nil, err
		}
		if !held {
			break
		}
	}
	if last := need[len(need)-1]; last >= size { // the hub has not signed it
		head, err := b.Log.Head(b.ctx, device)
		if err != nil {
			return nil, err
		}
		if head.Size <= last {
			return nil, fmt.Errorf("the log of %s has %d entries: %w", device, head.Size, shop.ErrGone)
		}
		return append(list, state{head.Size, head.Checkpoint}), nil
	}
	newest, err := b.Log.LastCountersigned(b.ctx, device)
	if err != nil || newest.Size <= size {
		return list, err
	}
	return append(list, state{newest.Size, newest.Note}), nil
}

// grown proves that the log grew from one size to another; nothing has to be
// proven of a size of zero, and of the same one.
func (l *log) grown(size, before int64) ([]journal.Digest, error) {
	if before == 0 || before == size {
		return nil, nil
	}
	p, err := tlog.ProveTree(size, before, l.stored)
	if err != nil {
		return nil, fmt.Errorf("prove that the log of %s grew from %d to %d: %w", l.device, before, size, err)
	}
	list := make([]journal.Digest, len(p))
	for i, h := range p {
		list[i] = journal.Digest(h)
	}
	return list, nil
}

// covering returns the first state that covers an entry.
func (l *log) covering(index int64) *state {
	i := slices.IndexFunc(l.states, func(s state) bool { return s.size > index })
	if i < 0 {
		return nil
	}
	return &l.states[i]
}

// entryProof proves an entry, and whether that is so: what lies in the
// database may not be what was signed.
func (l *log) entryProof(index int64, raw []byte) (text []byte, good bool, err error) {
	s := l.covering(index)
	hashes, err := proof.ProveEntry(s.size, index, l.stored)
	if err != nil {
		return nil, false, err
	}
	root, err := tlog.TreeHash(s.size, l.stored)
	if err != nil {
		return nil, false, fmt.Errorf("the root of the log of %s at %d: %w", l.device, s.size, err)
	}
	p := tlogproof.TLogProof{Index: uint64(index), Checkpoint: s.note}
	for _, h := range hashes {
		p.Hashes = append(p.Hashes, h)
	}
	return p.Marshal(), tlog.CheckRecord(hashes, s.size, root, index, proof.Leaf(raw)) == nil, nil
}

func (b *build) packLogs(out *bag.Writer) error {
	for _, of := range b.d.Logs {
		for _, s := range b.logs[of.Device].states {
			if _, err := out.AddBytes(b.ctx, evidence.CheckpointPath(of.Device, s.size), s.note); err != nil {
				return err
			}
		}
	}
	if err := b.packStamp(out); err != nil {
		return err
	}
	return b.cite()
}
