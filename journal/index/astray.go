package index

import (
	"bytes"

	"fettlebook/journal"
)

// standing is an entry in its home.
type standing struct{ pos, home int64 }

// astray notes, for the entries of a list, corrections that stand in another
// home than what they correct, and other entries with their id. Whichever of
// the two comes last brings them together.
func (b *batch) astray(list []gist) error {
	var first, last journal.EntryID
	for i := range list {
		g := &list[i]
		if !g.entry {
			continue
		}
		if first.IsZero() || bytes.Compare(g.id[:], first[:]) < 0 {
			first = g.id
		}
		if bytes.Compare(g.id[:], last[:]) > 0 {
			last = g.id
		}
		if g.kind.Kind != journal.EntryCorrected {
			continue
		}
		at := standing{pos(b.logs[string(g.Device)].row, g.Index), b.homes[string(g.home)]}
		of, err := b.standings(`SELECT pos, home FROM entries WHERE id = ?`, g.of[:])
		if err != nil {
			return err
		}
		if err := b.stray(at, of); err != nil {
			return err
		}
	}
	if first.IsZero() {
		return nil
	}
	if err := b.corrected(first, last); err != nil {
		return err
	}
	return b.twins(first, last)
}

// corrected brings corrections that were here before together with entries
// that came.
func (b *batch) corrected(first, last journal.EntryID) error {
	s, err := b.prepare(`SELECT c.pos, c.home, e.pos, e.home FROM replacements r JOIN entries c ON c.pos = r.pos JOIN entries e ON e.id = r.of
		WHERE r.of BETWEEN ? AND ? AND c.home <> e.home`)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(b.ctx, first[:], last[:])
	if err != nil {
		return err
	}
	var found [][2]standing
	for rows.Next() {
		var f [2]standing
		if err := rows.Scan(&f[0].pos, &f[0].home, &f[1].pos, &f[1].home); err != nil {
			return err
		}
		found = append(found, f)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if err := rows.Close(); err != nil {
		return err
	}
	for _, f := range found {
		if err := b.stray(f[0], []standing{f[1]}); err != nil {
			return err
		}
	}
	return nil
}

// twins brings entries with one id together.
func (b *batch) twins(first, last journal.EntryID) error {
	s, err := b.prepare(`SELECT id FROM entries WHERE id BETWEEN ? AND ? GROUP BY id HAVING count(*) > 1`)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(b.ctx, first[:], last[:])
	if err != nil {
		return err
	}
	var ids [][]byte
	for rows.Next() {
		var id []byte
		if err := rows.Scan(&id); err != nil {
			return err
		}
		ids = append(ids, id)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if err := rows.Close(); err != nil {
		return err
	}
	for _, id := range ids {
		all, err := b.standings(`SELECT pos, home FROM entries WHERE id = ?`, id)
		if err != nil {
			return err
		}
		for _, one := range all {
			if err := b.stray(one, all); err != nil {
				return err
			}
		}
	}
	return nil
}

// stray notes that an entry has to do with others, where they have another
// home.
func (b *batch) stray(one standing, others []standing) error {
	for _, o := range others {
		if o.home == one.home {
			continue
		}
		b.touched[o.home] = true
		if err := b.exec(`INSERT OR IGNORE INTO astray (home, pos) VALUES (?, ?)`, o.home, one.pos); err != nil {
			return err
		}
	}
	return nil
}

func (b *batch) standings(query string, arg any) ([]standing, error) {
	s, err := b.prepare(query)
	if err != nil {
		return nil, err
	}
	rows, err := s.QueryContext(b.ctx, arg)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []standing
	for rows.Next() {
		var f standing
		if err := rows.Scan(&f.pos, &f.home); err != nil {
			return nil, err
		}
		list = append(list, f)
	}
	return list, rows.Err()
}
