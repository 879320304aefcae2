package index

import (
	"bytes"

	"fettlebook/journal"
)

// correction is what a correction says of the entry that it is for.
type correction struct {
	of   journal.EntryID
	pos  int64 // of the correction
	deep int   // 1 of what a correction of a correction brings along, and so on
	home int64 // of the correction
	data []byte
}

// corrected is an entry that a correction is for.
type corrected struct {
	home int64
	kind journal.Type
}

// correct brings corrections and the entries that they are for together,
// whichever of the two is in the list.
func (b *batch) correct(list []gist) error {
	ids := map[journal.EntryID][]*gist{}
	var first, last journal.EntryID
	for i := range list {
		g := &list[i]
		if !g.entry {
			continue
		}
		if !g.of.IsZero() {
			at := pos(b.logs[string(g.Device)].row, g.Index)
			if err := b.keep(correction{of: g.of, pos: at, home: b.homes[string(g.home)], data: g.data}); err != nil {
				return err
			}
		}
		if len(ids) == 0 || bytes.Compare(g.id[:], first[:]) < 0 {
			first = g.id
		}
		if bytes.Compare(g.id[:], last[:]) > 0 {
			last = g.id
		}
		ids[g.id] = append(ids[g.id], g)
	}
	early, err := b.corrections(first, last)
	if err != nil {
		return err
	}
	for _, c := range early {
		for _, g := range ids[c.of] {
			if err := b.unsettled(pos(b.logs[string(g.Device)].row, g.Index)); err != nil {
				return err
			}
			if err := b.bring(c, corrected{b.homes[string(g.home)], g.kind}); err != nil {
				return err
			}
		}
	}
	return nil
}

// corrections returns those of entries from the first to the last id.
func (b *batch) corrections(first, last journal.EntryID) ([]correction, error) {
	s, err := b.prepare(`SELECT of, pos, deep, home, data FROM corrections WHERE of BETWEEN ? AND ?`)
	if err != nil {
		return nil, err
	}
	rows, err := s.QueryContext(b.ctx, first[:], last[:])
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []correction
	for rows.Next() {
		var c correction
		var of []byte
		if err := rows.Scan(&of, &c.pos, &c.deep, &c.home, &c.data); err != nil {
			return nil, err
		}
		copy(c.of[:], of)
		list = append(list, c)
	}
	return list, rows.Err()
}

// keep keeps a correction and brings it to the entries that it is for, as far
// as they are here.
func (b *batch) keep(c correction) error {
	if err := b.exec(`INSERT OR IGNORE INTO corrections (of, pos, deep, home, data) VALUES (?, ?, ?, ?, ?)`,
		c.of[:], c.pos, c.deep, c.home, append([]byte{}, c.data...)); err != nil {
		return err
	}
	s, err := b.prepare(`SELECT e.home, n.text, e.version FROM entries e JOIN names n ON n.name = e.kind WHERE e.id = ?`)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(b.ctx, c.of[:])
	if err != nil {
		return err
	}
	defer rows.Close()
	var list []corrected
	for rows.Next() {
		var to corrected
		if err := rows.Scan(&to.home, &to.kind.Kind, &to.kind.Version); err != nil {
			return err
		}
		list = append(list, to)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, to := range list {
		if err := b.bring(c, to); err != nil {
			return err
		}
	}
	return nil
}

// bring adds what a correction cites, by the kind of the entry that it is
// for, and says of what stands on things.
func (b *batch) bring(c correction, to corrected) error {
	if err := b.stray(to.home, c.pos, c.home); err != nil {
		return err
	}
	p, err := journal.ParseReplacement(to.kind, c.data)
	if err != nil {
		return nil // nothing stands instead; or the fold says so of the correction
	}
	kind, err := b.name(string(journal.EntryCorrected))
	if err != nil {
		return err
	}
	for _, cited := range cite(nil, "", journal.Cites(p)...) {
		n, err := b.thing(cited)
		if err != nil {
			return err
		}
		if err := b.exec(`INSERT OR IGNORE INTO citations (thing, pos) VALUES (?, ?)`, n, c.pos); err != nil {
			return err
		}
		if cited.home != "" {
			continue
		}
		if err := b.exec(`INSERT OR IGNORE INTO amendments (kind, thing, pos) VALUES (?, ?, ?)`, kind, n, c.pos); err != nil {
			return err
		}
	}
	for _, k := range keysOf(p) {
		if err := b.key(k, to.home, c.pos); err != nil {
			return err
		}
	}
	if inner, ok := p.(*journal.Correction); ok {
		return b.keep(correction{of: inner.Of, pos: c.pos, deep: c.deep + 1, home: c.home, data: inner.Data})
	}
	return nil
}

// stray notes that an entry has to do with entries of a home, if it stands in
// another one. The home is then of another state.
func (b *batch) stray(home, at, standing int64) error {
	if home == standing {
		return nil
	}
	b.touched[home] = true
	return b.exec(`INSERT OR IGNORE INTO astray (home, pos) VALUES (?, ?)`, home, at)
}

// twins brings entries of the batch together with others that have their id,
// as after a fork.
func (b *batch) twins() error {
	type twin struct{ pos, home, other, elsewhere int64 }
	var list []twin
	for _, l := range b.logs {
		s, err := b.prepare(`SELECT a.pos, a.home, b.pos, b.home FROM entries a CROSS JOIN entries b
			WHERE a.pos BETWEEN ? AND ? AND b.id = a.id AND b.pos <> a.pos`)
		if err != nil {
			return err
		}
		rows, err := s.QueryContext(b.ctx, pos(l.row, l.begun), pos(l.row, l.size)-1)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var t twin
			if err := rows.Scan(&t.pos, &t.home, &t.other, &t.elsewhere); err != nil {
				return err
			}
			list = append(list, t)
		}
		if err := rows.Err(); err != nil {
			return err
		}
	}
	for _, t := range list {
		if err := b.exec(`INSERT OR IGNORE INTO twins (pos) VALUES (?), (?)`, t.pos, t.other); err != nil {
			return err
		}
		if err := b.unsettled(t.pos); err != nil { // one of them may count for both
			return err
		}
		if err := b.stray(t.elsewhere, t.pos, t.home); err != nil {
			return err
		}
		if err := b.stray(t.home, t.other, t.elsewhere); err != nil {
			return err
		}
	}
	return nil
}
