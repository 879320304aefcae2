package sqlitelog

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
)

// ErrNoThumb is returned for a thumbnail that is not here; it is a
// media.ErrNotHere.
var ErrNoThumb error = noThumb{}

type noThumb struct{}

func (noThumb) Error() string { return "this thumbnail is not here" }

// Is makes it one of what is not on this machine.
func (noThumb) Is(target error) bool { return target == media.ErrNotHere }

// storePhotos stores thumbnails and the names of originals, and returns the
// thumbnails' hashes one after the other.
func storePhotos(ctx context.Context, q querier, photos []journal.Photo, thumbs [][]byte, own int) ([]byte, error) {
	var refs []byte
	wanted := make(map[media.Ref]bool, len(photos))
	for _, p := range photos {
		refs = append(refs, p.Thumb[:]...)
		var withdrawn bool
		if err := q.QueryRowContext(ctx, `INSERT INTO photos (ref, thumb, own) VALUES (?, ?, ?)
			ON CONFLICT DO UPDATE SET own = max(own, excluded.own), thumb = iif(thumb = x'', excluded.thumb, thumb)
			RETURNING withdrawn`, p.Ref[:], p.Thumb[:], own).Scan(&withdrawn); err != nil {
			return nil, fmt.Errorf("store photo: %w", err)
		}
		wanted[p.Thumb] = wanted[p.Thumb] || !withdrawn
	}
	for _, t := range thumbs {
		ref := media.Ref(sha256.Sum256(t))
		if !wanted[ref] {
			continue // withdrawn before it came
		}
		if _, err := q.ExecContext(ctx, `INSERT INTO thumbs (ref, bytes) VALUES (?, ?) ON CONFLICT DO NOTHING`, ref[:], t); err != nil {
			return nil, fmt.Errorf("store thumbnail: %w", err)
		}
	}
	return refs, nil
}

// Thumb returns the bytes of a thumbnail.
func (db *DB) Thumb(ctx context.Context, ref media.Ref) ([]byte, error) {
	return thumb(ctx, db.read, ref)
}

func thumb(ctx context.Context, q querier, ref media.Ref) ([]byte, error) {
	var b []byte
	err := q.QueryRowContext(ctx, `SELECT bytes FROM thumbs WHERE ref = ?`, ref[:]).Scan(&b)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%w: %s", ErrNoThumb, ref)
	}
	if err != nil {
		return nil, fmt.Errorf("read thumbnail: %w", damaged(err))
	}
	return b, nil
}

// Unconfirmed lists originals of this device that the hub has not confirmed.
func (db *DB) Unconfirmed(ctx context.Context) ([]media.Ref, error) {
	return db.refs(ctx, `SELECT ref FROM photos WHERE own = 1 AND confirmed IS NULL AND withdrawn = 0`)
}

func (db *DB) refs(ctx context.Context, query string, args ...any) ([]media.Ref, error) {
	rows, err := db.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("list photos: %w", damaged(err))
	}
	defer rows.Close()
	var list []media.Ref
	for rows.Next() {
		var ref []byte
		if err := rows.Scan(&ref); err != nil {
			return nil, fmt.Errorf("list photos: %w", damaged(err))
		}
		list = append(list, media.Ref(ref))
	}
	return list, damaged(rows.Err())
}

// Awaited counts the originals of other devices that have not arrived here.
func (db *DB) Awaited(ctx context.Context) (n int, err error) {
	if err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM photos WHERE own = 0 AND confirmed IS NULL AND withdrawn = 0`).Scan(&n); err != nil {
		return 0, fmt.Errorf("count photos: %w", damaged(err))
	}
	return n, nil
}

// Lacking lists originals of other devices that have not arrived here, by their hashes,
// those after one.
func (db *DB) Lacking(ctx context.Context, after media.Ref, most int) ([]media.Ref, error) {
	return db.refs(ctx, `SELECT ref FROM photos WHERE own = 0 AND confirmed IS NULL AND withdrawn = 0 AND ref > ? ORDER BY ref LIMIT ?`, after[:], most)
}

// Gave reports whether this device took an original that the hub confirmed, and that was not
// withdrawn.
func (db *DB) Gave(ctx context.Context, ref media.Ref) (bool, error) {
	var n int
	if err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM photos WHERE ref = ? AND own = 1 AND confirmed IS NOT NULL AND withdrawn = 0`, ref[:]).Scan(&n); err != nil {
		return false, fmt.Errorf("look up photo: %w", damaged(err))
	}
	return n > 0, nil
}

// Unconfirm takes back that the hub has an original of this device: it waits again.
func (db *DB) Unconfirm(ctx context.Context, ref media.Ref) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	changed, err := db.write.ExecContext(ctx, `UPDATE photos SET confirmed = NULL WHERE ref = ? AND own = 1 AND confirmed IS NOT NULL`, ref[:])
	if err != nil {
		return fmt.Errorf("have a photo wait again: %w", damaged(err))
	}
	if n, err := changed.RowsAffected(); err != nil || n > 0 {
		db.wakes.wake()
	}
	return nil
}

// Confirm notes that the hub has the original.
func (db *DB) Confirm(ctx context.Context, ref media.Ref, at time.Time) error {
	err := db.exec(ctx, "confirm photo", `UPDATE photos SET confirmed = ? WHERE ref = ? AND confirmed IS NULL`, at.Unix(), ref[:])
	if err == nil {
		db.wakes.wake()
	}
	return err
}

// Names reports whether an entry here names the original and it was not
// withdrawn.
func (db *DB) Names(ctx context.Context, ref media.Ref) (bool, error) {
	var n int
	err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM photos WHERE ref = ? AND withdrawn = 0`, ref[:]).Scan(&n)
	if err != nil {
		return false, fmt.Errorf("look up photo: %w", damaged(err))
	}
	return n > 0, nil
}

// Withdrawn reports whether a photo.withdrawn entry here names the original,
// or that of the thumbnail.
func (db *DB) Withdrawn(ctx context.Context, ref media.Ref) (bool, error) {
	var n int
	err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM photos WHERE (ref = ?1 OR thumb = ?1) AND withdrawn = 1`, ref[:]).Scan(&n)
	if err != nil {
		return false, fmt.Errorf("look up photo: %w", damaged(err))
	}
	return n > 0, nil
}

// Withdrawals lists the originals that photo.withdrawn entries here name.
func (db *DB) Withdrawals(ctx context.Context) ([]media.Ref, error) {
	return db.refs(ctx, `SELECT ref FROM photos WHERE withdrawn = 1`)
}

// withdraw removes a thumbnail's bytes; the hashes stay in the entries.
func withdraw(ctx context.Context, q querier, ref media.Ref) error {
	_, err := q.ExecContext(ctx, `INSERT INTO photos (ref, thumb, own, withdrawn) VALUES (?, x'', 0, 1)
		ON CONFLICT DO UPDATE SET withdrawn = 1`, ref[:])
	if err != nil {
		return fmt.Errorf("withdraw photo: %w", err)
	}
	thumbs, err := thumbsOf(ctx, q, ref)
	if err != nil {
		return err
	}
	for thumb := range thumbs {
		_, err = q.ExecContext(ctx, `DELETE FROM thumbs WHERE ref = ? AND ref NOT IN (SELECT thumb FROM photos WHERE withdrawn = 0)`, thumb[:])
		if err != nil {
			return fmt.Errorf("withdraw thumbnail: %w", err)
		}
	}
	return nil
}

// thumbsOf lists the thumbnails that entries name beside an original; two
// versions of the program may have made two.
func thumbsOf(ctx context.Context, q querier, ref media.Ref) (map[media.Ref]bool, error) {
	rows, err := q.QueryContext(ctx, `SELECT bytes FROM entries WHERE thumbs IS NOT NULL AND instr(bytes, ?)`, []byte(ref.String()))
	if err != nil {
		return nil, fmt.Errorf("find thumbnails: %w", err)
	}
	defer rows.Close()
	found := map[media.Ref]bool{}
	for rows.Next() {
		var raw []byte
		if err := rows.Scan(&raw); err != nil {
			return nil, fmt.Errorf("find thumbnails: %w", err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			continue
		}
		photos, err := e.Photos()
		if err != nil {
			continue
		}
		for _, p := range photos {
			if p.Ref == ref {
				found[p.Thumb] = true
			}
		}
	}
	return found, rows.Err()
}

// exec runs one writing statement.
func (db *DB) exec(ctx context.Context, what, query string, args ...any) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	if _, err := db.write.ExecContext(ctx, query, args...); err != nil {
		return fmt.Errorf("%s: %w", what, damaged(err))
	}
	return nil
}
