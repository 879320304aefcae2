package sqlitelog

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// Pick reads the entries at some positions, of several logs, in no order.
// Positions at which nothing lies are left out.
func (db *DB) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	if len(at) == 0 {
		return nil, nil
	}
	logs, err := logRows(ctx, db.read)
	if err != nil {
		return nil, err
	}
	named := make(map[journal.DeviceID]logRow, len(logs))
	device := make(map[int64]journal.DeviceID, len(logs))
	for _, r := range logs {
		named[r.device], device[r.log] = r, r.device
	}
	rows := make([]int64, 0, len(at))
	ends := make(map[journal.DeviceID]int64)
	for _, p := range at {
		if r, ok := named[p.Device]; ok && p.Index >= 0 {
			rows = append(rows, pos(r.log, p.Index))
			ends[p.Device] = max(ends[p.Device], p.Index+1)
		}
	}
	slices.Sort(rows) // in the order in which they lie
	list, err := db.pick(ctx, rows, device)
	if err != nil {
		return nil, fmt.Errorf("read entries: %w", damaged(err))
	}
	for d, end := range ends {
		rises, err := db.rises(ctx, db.read, named[d], end)
		if err != nil {
			return nil, err
		}
		for i := range list {
			if list[i].Device == d {
				list[i].Falls = rises.falling(list[i].Index)
			}
		}
	}
	return list, nil
}

func (db *DB) pick(ctx context.Context, rows []int64, device map[int64]journal.DeviceID) ([]journal.Logged, error) {
	numbers, err := json.Marshal(rows)
	if err != nil {
		return nil, err
	}
	found, err := db.read.QueryContext(ctx, `SELECT pos, bytes, (SELECT at FROM countersigned
		WHERE log = pos >> 40 AND size > pos & 0xffffffffff ORDER BY size LIMIT 1) FROM entries WHERE pos IN (SELECT value FROM json_each(?))`, string(numbers))
	if err != nil {
		return nil, err
	}
	defer found.Close()
	list := make([]journal.Logged, 0, len(rows))
	for found.Next() {
		var p int64
		var at sql.NullInt64
		var e journal.Logged
		if err := found.Scan(&p, &e.Bytes, &at); err != nil {
			return nil, err
		}
		e.Position = journal.Position{Device: device[p>>indexBits], Index: index(p)}
		if at.Valid {
			e.Received = time.Unix(at.Int64, 0).UTC()
		}
		list = append(list, e)
	}
	return list, found.Err()
}
