package dossier

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
)

// item is a chosen entry, as much of it as is asked for after its bytes were
// written.
type item struct {
	at    evidence.At
	kind  journal.Kind
	after journal.After
	seen  journal.Seen
}

// batch is how many entries are in memory at once.
const batch = 256

// packEntries writes the exact bytes of the chosen entries, and their proofs.
func (b *build) packEntries(out *bag.Writer) error {
	places := b.places()
	done := int64(0)
	for part := range slices.Chunk(places, batch) {
		raw, err := b.bytes(part)
		if err != nil {
			return err
		}
		for _, at := range part {
			if err := b.packEntry(out, at, raw[at]); err != nil {
				return err
			}
			done++
			b.tell(Proving, done, int64(len(places)))
		}
	}
	return nil
}

// bytes reads entries at some places.
func (b *build) bytes(at []evidence.At) (map[evidence.At][]byte, error) {
	ask := make([]journal.Position, len(at))
	for i, a := range at {
		ask[i] = journal.Position(a)
	}
	logged, err := b.Log.Pick(b.ctx, ask)
	if err != nil {
		return nil, err
	}
	raw := make(map[evidence.At][]byte, len(logged))
	for _, l := range logged {
		raw[evidence.At(l.Position)] = l.Bytes
	}
	if len(raw) < len(at) {
		return nil, fmt.Errorf("%d of %d: %w", len(at)-len(raw), len(at), shop.ErrGone)
	}
	return raw, nil
}

func (b *build) packEntry(out *bag.Writer, at evidence.At, raw []byte) error {
	e, err := journal.Decode(raw)
	if err != nil {
		return &Broken{fmt.Sprintf("The entry %s cannot be read any more. Hand nothing out; find what is damaged with `fettlebook audit`.", at)}
	}
	text, good, err := b.logs[at.Device].entryProof(at.Index, raw)
	if err != nil {
		return err
	}
	if !good && !b.asked.Broken {
		return &Broken{fmt.Sprintf("The entry %s is not the one that its device signed. Hand nothing out, keep a copy of all data folders, and find what is damaged with `fettlebook audit`.", at)}
	}
	if _, err := out.AddBytes(b.ctx, evidence.EntryPath(at), raw); err != nil {
		return err
	}
	if _, err := out.AddBytes(b.ctx, evidence.ProofPath(at), text); err != nil {
		return err
	}
	p := b.picked[journal.Position(at)]
	b.d.Entries = append(b.d.Entries, evidence.Item{At: at, ID: e.ID, Why: p.why})
	after := e.After
	if p, err := e.Payload(); err == nil {
		if change, ok := p.(*journal.KeyChange); ok {
			after = slices.Concat(after, change.Held)
		}
	}
	b.items = append(b.items, &item{at, e.Type.Kind, after, e.Seen})
	photos, err := e.Photos()
	if err != nil {
		return nil // a newer kind; whoever reads it here sees none either
	}
	for _, shown := range photos {
		b.cites(at, shown, p.line)
	}
	return nil
}

// leaves returns the hashes of entries that are withheld.
func (b *build) leaves(at []journal.Position) (map[journal.Position]journal.Digest, error) {
	list := make(map[journal.Position]journal.Digest)
	logged, err := b.Log.Pick(b.ctx, at)
	if err != nil {
		return nil, err
	}
	for _, l := range logged {
		list[l.Position] = journal.Digest(proof.Leaf(l.Bytes))
	}
	return list, nil
}
