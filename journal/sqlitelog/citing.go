package sqlitelog

import (
	"bytes"
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// citing knows what own entries may cite: how much of every other log is here
// together with all that is cited in it. The writing turn guards all of it but
// after, which is also read without.
type citing struct {
	front *order.Front // nil: to be found from the disk
	roots map[state][32]byte
	ends  map[journal.DeviceID]int64 // logs that the register closed, and how many entries of them count
	told  map[journal.DeviceID]int64 // how much of those an own entry has cited
	saved map[journal.DeviceID]int64 // how much the marks say is closed

	mu    sync.Mutex
	after journal.After
}

// state is a log at a size.
type state struct {
	device journal.DeviceID
	size   int64
}

// maxRoots is how many roots are remembered; those of a shop's logs at the
// sizes that were cited lately are far fewer.
const maxRoots = 4096

func (c *citing) get() journal.After {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.after
}

// roots answers [order.Roots] and remembers the answers.
type roots struct{ db *DB }

func (r roots) RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	c := &r.db.citing
	if root, ok := c.roots[state{device, size}]; ok {
		return root, nil
	}
	root, err := r.db.RootAt(ctx, device, size)
	if err == nil {
		c.remember(device, size, root)
	}
	return root, err
}

func (c *citing) remember(device journal.DeviceID, size int64, root [32]byte) {
	if len(c.roots) >= maxRoots {
		clear(c.roots)
	}
	c.roots[state{device, size}] = root
}

// The marks of what was found: how many entries of a log are closed, how many
// count of a log that the register closed, and how many are common to all
// histories of one that goes on. Where the first are lost, all is found again
// from the first entry on.
const (
	markClosed = "order/closed/"
	markEnd    = "order/end/"
	markPart   = "order/part/"
)

// loadCiting finds what may be cited, from where the marks say. writing is
// held.
func (db *DB) loadCiting(ctx context.Context) error {
	closed, err := db.orderMarks(ctx, markClosed)
	if err != nil {
		return err
	}
	if _, known := closed[db.opts.Hub]; !known {
		if err := db.findEnds(ctx); err != nil {
			return err
		}
	}
	c := &db.citing
	if c.ends, err = db.orderMarks(ctx, markEnd); err != nil {
		return err
	}
	front := order.NewFront(roots{db})
	for d, n := range c.ends {
		front.Close(d, n)
		if closed[d] > n {
			clear(closed) // others may have cited what counts no more
		}
	}
	parts, err := db.orderMarks(ctx, markPart)
	if err != nil {
		return err
	}
	for d, n := range parts {
		front.Part(d, n)
	}
	c.roots, c.told = make(map[state][32]byte), make(map[journal.DeviceID]int64)
	logs, err := logRows(ctx, db.write)
	if err != nil {
		return err
	}
	for _, l := range logs {
		front.Resume(l.device, closed[l.device])
	}
	for _, l := range logs {
		if err := db.catchUp(ctx, front, l); err != nil {
			return err
		}
	}
	c.saved = closed
	if err := c.saveClosed(ctx, db.write, front); err != nil {
		return err
	}
	c.front = front
	return db.cite(ctx)
}

// orderMarks returns the numbers of the marks that begin so, by device.
func (db *DB) orderMarks(ctx context.Context, prefix string) (map[journal.DeviceID]int64, error) {
	rows, err := db.write.QueryContext(ctx, `SELECT name, value FROM marks WHERE substr(name, 1, ?) = ?`, len(prefix), prefix)
	if err != nil {
		return nil, fmt.Errorf("read marks: %w", damaged(err))
	}
	defer rows.Close()
	found := make(map[journal.DeviceID]int64)
	for rows.Next() {
		var name, value string
		if err := rows.Scan(&name, &value); err != nil {
			return nil, fmt.Errorf("read marks: %w", damaged(err))
		}
		if n, err := strconv.ParseInt(value, 10, 64); err == nil { // else as if it was lost
			found[journal.DeviceID(strings.TrimPrefix(name, prefix))] = n
		}
	}
	return found, damaged(rows.Err())
}

// saveClosed marks how far logs are closed, where that is much further than
// the marks say: what is not marked is only looked at again, at the next start.
func (c *citing) saveClosed(ctx context.Context, q querier, front *order.Front) error {
	for _, d := range front.Devices() {
		n := front.Closed(d)
		if before, ok := c.saved[d]; ok && n < before+page {
			continue
		}
		if err := setMark(ctx, q, markClosed+string(d), strconv.FormatInt(n, 10)); err != nil {
			return err
		}
		c.saved[d] = n
	}
	return nil
}

// catchUp shows the front what it does not hold of a log.
func (db *DB) catchUp(ctx context.Context, front *order.Front, l logRow) error {
	for {
		held := front.Held(l.device)
		list, err := db.rows(ctx, l, held)
		if err != nil {
			return err
		}
		for i, raw := range list {
			var e *journal.Entry
			if bytes.Contains(raw, []byte(`"after":"`)) {
				e, _ = journal.Decode(raw) // what is not an entry cites nothing
			}
			if err := front.Add(order.Of(journal.Position{Device: l.device, Index: held + int64(i)}, e)); err != nil {
				return err
			}
		}
		if len(list) < page {
			return front.Grow(ctx, l.device, unseen)
		}
	}
}

// unseen is for who asks afterwards how much is closed.
func unseen(order.Entry) error { return nil }

// rows reads a page of a log's entries on the writing connection.
func (db *DB) rows(ctx context.Context, l logRow, from int64) ([][]byte, error) {
	rows, err := db.write.QueryContext(ctx, `SELECT bytes FROM entries WHERE pos >= ? AND pos < ? ORDER BY pos LIMIT ?`,
		pos(l.log, from), pos(l.log+1, 0), page)
	if err != nil {
		return nil, fmt.Errorf("read log of %s: %w", l.device, damaged(err))
	}
	defer rows.Close()
	var list [][]byte
	for rows.Next() {
		var raw []byte
		if err := rows.Scan(&raw); err != nil {
			return nil, fmt.Errorf("read log of %s: %w", l.device, damaged(err))
		}
		list = append(list, raw)
	}
	return list, damaged(rows.Err())
}

// heard grows what may be cited by entries of a log, from index first on, that
// are on the disk now. Where the register closed a log with them, all is found
// anew. writing is held.
func (db *DB) heard(ctx context.Context, l logRow, first int64, list []*journal.Entry) error {
	c := &db.citing
	front := c.front
	ends := false
	for _, e := range list {
		ends = ends || e != nil && l.device == db.opts.Hub && closesLog(e.Type.Kind)
	}
	if front == nil || ends {
		c.front = nil
		return db.loadCiting(ctx)
	}
	c.front = nil // until it is known to have grown
	if front.Held(l.device) == first {
		for i, e := range list {
			if err := front.Add(order.Of(journal.Position{Device: l.device, Index: first + int64(i)}, e)); err != nil {
				return err
			}
		}
	} else if err := db.catchUp(ctx, front, l); err != nil {
		return err
	}
	others := false // of other logs more can be cited
	err := front.Grow(ctx, l.device, func(e order.Entry) error {
		others = others || e.Device != db.opts.Own
		return nil
	})
	if err != nil {
		return err
	}
	c.front = front
	if l.device == db.opts.Own && len(c.ends) > 0 {
		others = c.tell(list) || others
	}
	if !others {
		return nil
	}
	if err := db.cite(ctx); err != nil {
		c.front = nil // or the next entry would cite less than is here
		return err
	}
	return nil
}

// tell notes what own entries cite of logs that are closed: it need not be
// said again. It reports whether there was any.
func (c *citing) tell(list []*journal.Entry) (any bool) {
	for _, e := range list {
		for d := range c.ends {
			if p := e.After.Of(d); p.Size > c.told[d] {
				c.told[d], any = p.Size, true
			}
		}
	}
	return any
}

// cite works out what own entries cite from now on.
func (db *DB) cite(ctx context.Context) error {
	c := &db.citing
	var after journal.After
	for _, d := range c.front.Devices() {
		n := c.front.Closed(d)
		if _, closed := c.ends[d]; d == db.opts.Own || n == 0 || closed && n <= c.told[d] {
			continue
		}
		root, err := roots{db}.RootAt(ctx, d, n)
		if err != nil {
			return err
		}
		after = append(after, journal.Prefix{Device: d, Size: n, Root: [16]byte(root[:16])})
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.after = after[:min(len(after), journal.MaxAfter)]
	return nil
}

// closesLog reports whether an entry of the kind may close a log, or part its
// histories.
func closesLog(k journal.Kind) bool {
	return k == journal.DeviceRevoked || k == journal.DeviceForked || k == journal.LogsClosed || k == journal.LogsParted
}

// endLog notes that the register closed a log. The hub's own goes on whatever
// happened to it: it is the register.
func (db *DB) endLog(ctx context.Context, q querier, device journal.DeviceID, counts int64) error {
	if device == db.opts.Hub {
		return nil
	}
	return leastMark(ctx, q, markEnd+string(device), counts)
}

// leastMark sets a mark to a number, unless it is smaller already.
func leastMark(ctx context.Context, q querier, name string, n int64) error {
	_, err := q.ExecContext(ctx, `INSERT INTO marks (name, value) VALUES (?, ?)
		ON CONFLICT DO UPDATE SET value = min(CAST(value AS INTEGER), CAST(excluded.value AS INTEGER))`,
		name, strconv.FormatInt(n, 10))
	if err != nil {
		return fmt.Errorf("mark %s: %w", name, damaged(err))
	}
	return nil
}

// findEnds reads in the register which logs it closed.
func (db *DB) findEnds(ctx context.Context) error {
	hub, err := findLog(ctx, db.write, db.opts.Hub)
	if err != nil {
		return nil // no register is here, so it says nothing
	}
	for from := int64(0); ; {
		list, err := db.rows(ctx, hub, from)
		if err != nil {
			return err
		}
		rises, err := db.rises(ctx, db.write, hub, from+int64(len(list)))
		if err != nil {
			return err
		}
		for i, raw := range list {
			if !bytes.Contains(raw, []byte(`"type":"device.`)) && !bytes.Contains(raw, []byte(`"type":"logs.`)) {
				continue
			}
			e, err := journal.Decode(raw)
			if err != nil || !closesLog(e.Type.Kind) {
				continue
			}
			if err := db.learn(ctx, db.write, journal.Position{Device: db.opts.Hub, Index: from + int64(i)}, rises.falling(from+int64(i)), e); err != nil {
				return err
			}
		}
		if from += int64(len(list)); len(list) < page {
			return nil
		}
	}
}
