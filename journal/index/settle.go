package index

import (
	"context"
	"fmt"

	"fettlebook/journal"
)

// unsettle notes corrections, since what they correct uses something else, and
// openings, since jobs are tied to others by their vehicles, as the summaries
// of those say, and what is said of things on which jobs rest. Before
// there is any summary, neither changes one. What is quoted counts once, and by
// the key of a device that is enrolled. A recall is owed to every customer for
// whom its thing was used.
func (b *batch) unsettle(list []gist) error {
	summarized := int64(-1)
	for i := range list {
		g := &list[i]
		if (g.opens || g.bears) && summarized < 0 {
			var err error
			if summarized, err = b.number(`SELECT EXISTS (SELECT 1 FROM summaries)`); err != nil {
				return err
			}
		}
		if g.of.IsZero() && !g.quotes && !g.proves && !g.recalls && (!g.opens && !g.bears || summarized == 0) {
			continue
		}
		if err := b.unsettled(pos(b.logs[string(g.Device)].row, g.Index)); err != nil {
			return err
		}
	}
	return nil
}

func (b *batch) unsettled(at int64) error {
	return b.exec(`INSERT OR IGNORE INTO unsettled (pos) VALUES (?)`, at)
}

// Unsettled lists entries, at most so many, of which nobody has said yet with
// [DB.Settle] that it is worked out what they change, or what changes them:
// corrections, what came after its correction, openings, what is said of lots,
// machines and people, what is quoted or has the id of another, what enrols a
// device, recalls, and what stands elsewhere now. They are noted when they are
// written, so that no crash forgets them.
func (db *DB) Unsettled(ctx context.Context, most int) ([]Row, error) {
	return db.rows(ctx, `WHERE pos IN (SELECT pos FROM unsettled ORDER BY pos LIMIT ?)`, most)
}

// Settle says that what entries change elsewhere is worked out.
func (db *DB) Settle(ctx context.Context, list ...journal.Position) error {
	err := db.tx(ctx, func(b *batch) error {
		for _, p := range list {
			at, err := b.at(p)
			if err != nil {
				return err
			}
			if err := b.exec(`DELETE FROM unsettled WHERE pos = ?`, at); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("settle entries: %w", err)
	}
	return nil
}
