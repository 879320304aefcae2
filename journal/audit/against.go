package audit

import (
	"context"
	"fmt"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"
)

// Compared is one log as it lies in two copies.
type Compared struct {
	Device journal.DeviceID `json:"log"`
	Same   int64            `json:"same"` // so many entries are the same in both, from the first on
	// Here and There are how many entries each has.
	Here  int64 `json:"here"`
	There int64 `json:"there"`
	// Parted is set if both have an entry after the last common one: the copies are two histories.
	Parted bool `json:"parted,omitzero"`
	// The sizes over which only one of the two has a countersignature of the hub.
	ReceiptsHere  []int64 `json:"receipts_only_here,omitempty"`
	ReceiptsThere []int64 `json:"receipts_only_there,omitempty"`
}

// Lines say how the two copies of the log stand to each other.
func (c Compared) Lines() []string {
	list := []string{fmt.Sprintf("log %s: %s the same in both", c.Device, words.Count(int(c.Same), "entry"))}
	switch here, there := c.Here-c.Same, c.There-c.Same; {
	case c.Parted:
		list = append(list, fmt.Sprintf("they part at entry %d: from there on here are %d and there are %d that the other does not have", c.Same+1, here, there))
	case here > 0:
		list = append(list, fmt.Sprintf("only here: %s", span(c.Same, c.Here)))
	case there > 0:
		list = append(list, fmt.Sprintf("only there: %s", span(c.Same, c.There)))
	}
	for _, one := range []struct {
		where string
		sizes []int64
	}{{"here", c.ReceiptsHere}, {"there", c.ReceiptsThere}} {
		for _, n := range one.sizes {
			list = append(list, fmt.Sprintf("only %s: the countersignature at entry %d", one.where, n))
		}
	}
	return list
}

func span(from, end int64) string {
	if end-from == 1 {
		return fmt.Sprintf("entry %d", end)
	}
	return fmt.Sprintf("entries %d to %d", from+1, end)
}

// Against holds two copies of a shop's logs side by side, by the bytes of their entries.
// Neither is believed: each is to be audited by itself.
func Against(ctx context.Context, here, there Logs) ([]Compared, error) {
	mine, err := numbers(ctx, here)
	if err != nil {
		return nil, err
	}
	theirs, err := numbers(ctx, there)
	if err != nil {
		return nil, err
	}
	var list []Compared
	for _, device := range union(mine, theirs) {
		c := Compared{Device: device}
		if err := c.entries(ctx, here, there, mine, theirs); err != nil {
			return nil, err
		}
		if err := c.receipts(ctx, here, there, mine, theirs); err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, ctx.Err()
}

// numbers are the numbers by which a store knows its logs.
func numbers(ctx context.Context, logs Logs) (map[journal.DeviceID]int64, error) {
	list := map[journal.DeviceID]int64{}
	for l, err := range logs.RawLogs(ctx) {
		if err != nil {
			return nil, fmt.Errorf("list logs: %w", err)
		}
		list[journal.DeviceID(l.Device)] = l.Log
	}
	return list, nil
}

func union(a, b map[journal.DeviceID]int64) (list []journal.DeviceID) {
	for d := range a {
		list = append(list, d)
	}
	for d := range b {
		if _, both := a[d]; !both {
			list = append(list, d)
		}
	}
	slices.Sort(list)
	return list
}

// rows gives a log's entries, none if the store has no such log.
func rows(ctx context.Context, logs Logs, numbers map[journal.DeviceID]int64, device journal.DeviceID) iter.Seq2[RawEntry, error] {
	if n, known := numbers[device]; known {
		return logs.RawEntries(ctx, n, 0)
	}
	return func(func(RawEntry, error) bool) {}
}

func (c *Compared) entries(ctx context.Context, here, there Logs, mine, theirs map[journal.DeviceID]int64) error {
	next, stop := iter.Pull2(rows(ctx, there, theirs, c.Device))
	defer stop()
	same := true
	for row, err := range rows(ctx, here, mine, c.Device) {
		if err != nil {
			return fmt.Errorf("read log %s here: %w", c.Device, err)
		}
		c.Here = row.Index + 1
		other, err, more := next()
		if err != nil {
			return fmt.Errorf("read log %s there: %w", c.Device, err)
		}
		if !more {
			same = false
			continue
		}
		c.There = other.Index + 1
		switch {
		case same && row.Index == other.Index && string(row.Bytes) == string(other.Bytes):
			c.Same = row.Index + 1
		case same:
			same, c.Parted = false, true
		}
	}
	for other, err, more := next(); more; other, err, more = next() {
		if err != nil {
			return fmt.Errorf("read log %s there: %w", c.Device, err)
		}
		c.There = other.Index + 1
	}
	return nil
}

func (c *Compared) receipts(ctx context.Context, here, there Logs, mine, theirs map[journal.DeviceID]int64) error {
	sizes := func(logs Logs, numbers map[journal.DeviceID]int64) (list []int64, err error) {
		n, known := numbers[c.Device]
		if !known {
			return nil, nil
		}
		for r, err := range logs.RawCountersigned(ctx, n) {
			if err != nil {
				return nil, fmt.Errorf("read countersignatures of %s: %w", c.Device, err)
			}
			list = append(list, r.Size)
		}
		return list, nil
	}
	ours, err := sizes(here, mine)
	if err != nil {
		return err
	}
	others, err := sizes(there, theirs)
	if err != nil {
		return err
	}
	lacks := func(list, of []int64) []int64 {
		return slices.DeleteFunc(slices.Clone(list), func(n int64) bool { return slices.Contains(of, n) })
	}
	c.ReceiptsHere, c.ReceiptsThere = lacks(ours, others), lacks(others, ours)
	return nil
}

// RootAt works the root of a log's first entries out of their bytes. have is how many of
// them there are; the root is only of all of them.
func RootAt(ctx context.Context, logs Logs, device journal.DeviceID, size int64) (root [32]byte, have int64, err error) {
	known, err := numbers(ctx, logs)
	if err != nil {
		return root, 0, err
	}
	var tree proof.Tree
	for row, err := range rows(ctx, logs, known, device) {
		if err != nil {
			return root, tree.Size(), fmt.Errorf("read log %s: %w", device, err)
		}
		if row.Index != tree.Size() || tree.Size() == size {
			break
		}
		tree.Append(row.Bytes)
	}
	if tree.Size() == size {
		root = tree.Root()
	}
	return root, tree.Size(), nil
}
