package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
)

var _ journal.Reader = (*DB)(nil)

// page is how many rows one query reads, so that a long walk does not hold a
// read transaction and keep the WAL from shrinking.
const page = 512

// Entries yields a log from an index on; see [journal.Reader].
func (db *DB) Entries(ctx context.Context, device journal.DeviceID, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		row, err := findLog(ctx, db.read, device)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		receipts, err := receiptsOf(ctx, db.read, row.log, from)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		from = max(from, 0)
		for {
			list, err := entriesPage(ctx, db.read, row, from)
			if err != nil {
				yield(journal.Logged{}, err)
				return
			}
			rises, err := db.rises(ctx, db.read, row, from+int64(len(list)))
			if err != nil {
				yield(journal.Logged{}, err)
				return
			}
			for _, e := range list {
				e.Received, e.Falls = receipts.of(e.Index), rises.falling(e.Index)
				if !yield(e, nil) {
					return
				}
			}
			if len(list) < page {
				return
			}
			from = list[len(list)-1].Index + 1
		}
	}
}

func entriesPage(ctx context.Context, q querier, row logRow, from int64) ([]journal.Logged, error) {
	rows, err := q.QueryContext(ctx, `SELECT pos, bytes FROM entries WHERE pos >= ? AND pos < ? ORDER BY pos LIMIT ?`,
		pos(row.log, from), pos(row.log+1, 0), page)
	if err != nil {
		return nil, fmt.Errorf("read log of %s: %w", row.device, damaged(err))
	}
	defer rows.Close()
	list := make([]journal.Logged, 0, page)
	for rows.Next() {
		var p int64
		e := journal.Logged{Position: journal.Position{Device: row.device}}
		if err := rows.Scan(&p, &e.Bytes); err != nil {
			return nil, fmt.Errorf("read log of %s: %w", row.device, damaged(err))
		}
		e.Index = index(p)
		list = append(list, e)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("read log of %s: %w", row.device, damaged(err))
	}
	return list, nil
}

// All yields the entries of every log here, log by log.
func (db *DB) All(ctx context.Context) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		rows, err := logRows(ctx, db.read)
		if err != nil {
			yield(journal.Logged{}, err)
			return
		}
		for _, r := range rows {
			for e, err := range db.Entries(ctx, r.device, 0) {
				if !yield(e, err) || err != nil {
					return
				}
			}
		}
	}
}

// receipts are the hub's countersignatures over one log, by rising size.
type receipts []struct {
	size int64
	at   time.Time
}

func receiptsOf(ctx context.Context, q querier, log, from int64) (receipts, error) {
	rows, err := q.QueryContext(ctx, `SELECT size, at FROM countersigned WHERE log = ? AND size > ? ORDER BY size`, log, from)
	if err != nil {
		return nil, fmt.Errorf("read countersignatures: %w", damaged(err))
	}
	defer rows.Close()
	var list receipts
	for rows.Next() {
		var size, at int64
		if err := rows.Scan(&size, &at); err != nil {
			return nil, fmt.Errorf("read countersignatures: %w", damaged(err))
		}
		list = append(list, struct {
			size int64
			at   time.Time
		}{size, time.Unix(at, 0).UTC()})
	}
	return list, damaged(rows.Err())
}

// of returns the time of the first countersignature that covers the index.
// Called with rising indexes it walks the list once.
func (r *receipts) of(index int64) time.Time {
	for len(*r) > 0 && (*r)[0].size <= index {
		*r = (*r)[1:]
	}
	if len(*r) == 0 {
		return time.Time{}
	}
	return (*r)[0].at
}

// Heads lists every log here; see [journal.Reader].
func (db *DB) Heads(ctx context.Context) ([]journal.Head, error) {
	rows, err := logRows(ctx, db.read)
	if err != nil {
		return nil, err
	}
	list := make([]journal.Head, 0, len(rows))
	for _, r := range rows {
		h, err := head(ctx, db.read, r)
		if err != nil {
			return nil, err
		}
		list = append(list, h)
	}
	return list, nil
}

// Head returns how far a log reaches here. A device without a log has size 0.
func (db *DB) Head(ctx context.Context, device journal.DeviceID) (journal.Head, error) {
	row, err := findLog(ctx, db.read, device)
	if errors.Is(err, journal.ErrNoLog) {
		return journal.Head{Device: device}, nil
	}
	if err != nil {
		return journal.Head{}, err
	}
	return head(ctx, db.read, row)
}

// head reads the newest checkpoint, which lies beside the last entry.
func head(ctx context.Context, q querier, row logRow) (journal.Head, error) {
	h := journal.Head{Device: row.device}
	var p int64
	var note sql.NullString
	err := q.QueryRowContext(ctx, `SELECT pos, checkpoint FROM entries WHERE pos >= ? AND pos < ? ORDER BY pos DESC LIMIT 1`,
		pos(row.log, 0), pos(row.log+1, 0)).Scan(&p, &note)
	if errors.Is(err, sql.ErrNoRows) {
		return h, nil
	}
	if err != nil {
		return h, fmt.Errorf("read head of %s: %w", row.device, damaged(err))
	}
	h.Size, h.Checkpoint = index(p)+1, []byte(note.String)
	return h, nil
}

// Segment cuts the next segment from a log: entries from the index on, as
// many as fit into most bytes and end at a checkpoint, with their
// thumbnails. It is empty when nothing lies beyond the index. A first batch
// that alone is larger than most is given whole; a batch never exceeds
// [journal.MaxSegmentBytes].
func (db *DB) Segment(ctx context.Context, device journal.DeviceID, from int64, most int) (journal.Segment, error) {
	s := journal.Segment{Device: device, First: max(from, 0), Thumbs: map[media.Ref][]byte{}}
	row, err := findLog(ctx, db.read, device)
	if errors.Is(err, journal.ErrNoLog) {
		return s, nil
	}
	if err != nil {
		return s, err
	}
	tx, err := db.read.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return s, fmt.Errorf("cut segment: %w", damaged(err))
	}
	defer tx.Rollback()
	if err := cut(ctx, tx, row, &s, most); err != nil {
		return s, fmt.Errorf("cut segment of %s: %w", device, damaged(err))
	}
	return s, nil
}

// cut reads rows until the segment is full, and keeps those up to the last
// checkpoint that still fits.
func cut(ctx context.Context, tx *sql.Tx, row logRow, s *journal.Segment, most int) error {
	rows, err := tx.QueryContext(ctx, `SELECT bytes, thumbs, checkpoint FROM entries WHERE pos >= ? AND pos < ? ORDER BY pos`,
		pos(row.log, s.First), pos(row.log+1, 0))
	if err != nil {
		return err
	}
	defer rows.Close()
	var batch journal.Segment // rows since the last checkpoint
	batch.Thumbs = map[media.Ref][]byte{}
	total := 0
	for rows.Next() {
		var raw, refs []byte
		var note sql.NullString
		if err := rows.Scan(&raw, &refs, &note); err != nil {
			return err
		}
		batch.Entries = append(batch.Entries, raw)
		total += len(raw)
		for ; len(refs) >= 32; refs = refs[32:] {
			n, err := addThumb(ctx, tx, media.Ref(refs[:32]), s.Thumbs, batch.Thumbs)
			if err != nil {
				return err
			}
			total += n
		}
		if total > most && len(s.Entries) > 0 {
			break
		}
		if !note.Valid {
			continue
		}
		s.Entries = append(s.Entries, batch.Entries...)
		for ref, t := range batch.Thumbs {
			s.Thumbs[ref] = t
		}
		s.Checkpoint = []byte(note.String)
		batch.Entries = nil
		clear(batch.Thumbs)
	}
	return rows.Err()
}

// addThumb loads a thumbnail unless the segment has it already.
func addThumb(ctx context.Context, tx *sql.Tx, ref media.Ref, have, batch map[media.Ref][]byte) (int, error) {
	if have[ref] != nil || batch[ref] != nil {
		return 0, nil
	}
	t, err := thumb(ctx, tx, ref)
	if errors.Is(err, ErrNoThumb) {
		return 0, nil // withdrawn
	}
	if err != nil {
		return 0, err
	}
	batch[ref] = t
	return len(t), nil
}
