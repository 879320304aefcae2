package sqlitelog

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// Lost is the end of a log that counts no more: its entries from an index on.
type Lost struct {
	Device journal.DeviceID
	From   int64
	Branch journal.Branch
}

// Haul is what became of a lost log's entries.
type Haul struct {
	Taken  []*journal.Entry // what was, or would be, quoted; as it was written
	Before int              // had been taken over already
	Left   []Left
}

// Left is an entry that cannot be taken over, and why.
type Left struct {
	journal.Position
	Why error
}

// TakeOver quotes the entries of a lost log, which lies in this database or in
// another one, in the own log, in their order; when dry, it only says what
// would be. What is quoted in any log here already is passed over, so that
// whoever was interrupted goes on.
func (db *DB) TakeOver(ctx context.Context, from *DB, lost Lost, dry bool) (Haul, error) {
	var haul Haul
	key, err := db.Key(ctx, lost.Device)
	if err != nil {
		return haul, fmt.Errorf("take over: %w", err)
	}
	quoted, err := db.quoted(ctx)
	if err != nil {
		return haul, fmt.Errorf("take over: %w", err)
	}
	for l, err := range from.Entries(ctx, lost.Device, lost.From) {
		if err != nil {
			return haul, fmt.Errorf("take over: %w", err)
		}
		if quoted[quotedAt{l.Position, sha256.Sum256(l.Bytes)}] {
			haul.Before++
			continue
		}
		d, e, err := from.quote(ctx, l, lost.Branch)
		if err == nil {
			err = proof.CheckQuote(d.Data.(*journal.TakenOver), e.Source.Shop, []string{key})
		}
		switch {
		case errors.Is(err, proof.ErrNotQuotable), errors.Is(err, proof.ErrCheckpoint), errors.Is(err, proof.ErrNotIn):
			haul.Left = append(haul.Left, Left{l.Position, err})
			continue
		case err != nil:
			return haul, fmt.Errorf("take over entry %d of %s: %w", l.Index, l.Device, err)
		}
		if !dry {
			if err := db.takeOver(ctx, from, d, e); err != nil {
				return haul, fmt.Errorf("take over entry %d of %s: %w", l.Index, l.Device, err)
			}
		}
		haul.Taken = append(haul.Taken, e)
	}
	return haul, nil
}

// takeOver keeps the customer card that the quoted entry commits to, and writes
// the quote: in this order, since what is quoted is not gone into again.
func (db *DB) takeOver(ctx context.Context, from *DB, d journal.Draft, e *journal.Entry) error {
	p, _ := e.Payload() // what cannot be read is kept as it is
	if w, ok := p.(*journal.CardWriting); ok && from != db {
		if err := db.takeCard(ctx, from, w, e.ID); err != nil {
			return err
		}
	}
	_, err := db.Append(ctx, d)
	return err
}

func (db *DB) takeCard(ctx context.Context, from *DB, w *journal.CardWriting, by journal.EntryID) error {
	card, err := from.Card(ctx, w.Card)
	if errors.Is(err, ErrNoCard) || errors.Is(err, journal.ErrCardErased) || err == nil && !card.Opens(w.Commitment) {
		return nil // there is another one, or none
	}
	if err != nil {
		return err
	}
	card.Written = by
	return db.SaveCard(ctx, journal.CardState{Card: card, Changed: by})
}

// quotedAt names an entry by where it lay and its bytes: a log with two
// histories has two entries at one place.
type quotedAt struct {
	journal.Position
	sum [32]byte
}

// quoted returns what is quoted in the logs here.
func (db *DB) quoted(ctx context.Context) (map[quotedAt]bool, error) {
	all := make(map[quotedAt]bool)
	for l, err := range db.All(ctx) {
		if err != nil {
			return nil, err
		}
		if !bytes.Contains(l.Bytes, []byte(journal.EntryTakenOver)) {
			continue
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil || db.opts.authority().Voids(e, l.Device, l.Falls) != "" {
			continue
		}
		if t, _ := e.Quotes(); t != nil {
			all[quotedAt{journal.Position{Device: t.Device, Index: t.Index}, sha256.Sum256([]byte(t.Entry))}] = true
		}
	}
	return all, nil
}

// quote drafts the taking over of an entry that lies here, with the thumbnails
// that are here.
func (db *DB) quote(ctx context.Context, l journal.Logged, branch journal.Branch) (journal.Draft, *journal.Entry, error) {
	row, err := findLog(ctx, db.read, l.Device)
	if err != nil {
		return journal.Draft{}, nil, err
	}
	h, err := head(ctx, db.read, row)
	if err != nil {
		return journal.Draft{}, nil, err
	}
	d, err := proof.Quote(l.Bytes, l.Position, h.Checkpoint, h.Size, hashes{ctx, db.read, row.log}, branch)
	if err != nil {
		return d, nil, err
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		return d, nil, err
	}
	if most := maxData(journal.EntryTakenOver); len(data) > most {
		return d, nil, fmt.Errorf("%w: it has %d bytes, too many for one that quotes it (%d)", proof.ErrNotQuotable, len(data), most)
	}
	q := d.Data.(*journal.TakenOver)
	for _, p := range q.Photos {
		t, err := db.Thumb(ctx, p.Thumb)
		if errors.Is(err, ErrNoThumb) {
			continue // withdrawn
		}
		if err != nil {
			return d, nil, err
		}
		d.Thumbs = append(d.Thumbs, t)
	}
	e, err := q.Quoted()
	return d, e, err
}
