package main

import (
	"context"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// unproven lists the logs of which some of the entries at these positions are
// not those that their device signed last.
func unproven(ctx context.Context, log *sqlitelog.DB, at []journal.Position) ([]journal.DeviceID, error) {
	entries, err := log.Pick(ctx, at)
	if err != nil {
		return nil, err
	}
	asked, here := make(map[journal.DeviceID]int), make(map[journal.DeviceID][]journal.Logged)
	for _, p := range at {
		asked[p.Device]++
	}
	for _, e := range entries {
		here[e.Device] = append(here[e.Device], e)
	}
	var list []journal.DeviceID
	for _, device := range slices.Sorted(maps.Keys(asked)) {
		signed, err := signs(ctx, log, device, here[device])
		if err != nil {
			return nil, err
		}
		if !signed || len(here[device]) < asked[device] {
			list = append(list, device)
		}
	}
	return list, nil
}

// signs reports whether the last checkpoint of a device signs all of the
// entries.
func signs(ctx context.Context, log *sqlitelog.DB, device journal.DeviceID, entries []journal.Logged) (bool, error) {
	head, err := log.Head(ctx, device)
	if err != nil {
		return false, err
	}
	key, err := log.KeyAt(ctx, device, head.Size)
	if err != nil {
		return false, err
	}
	verifier, err := proof.Verifier(key)
	if err != nil {
		return false, nil
	}
	c, err := proof.Open(head.Checkpoint, verifier)
	if err != nil {
		return false, nil
	}
	var at []int64
	for _, e := range entries {
		if e.Index >= c.Size {
			return false, nil
		}
		at = append(at, e.Index)
	}
	proofs, err := log.Prove(ctx, device, c.Size, at)
	if err != nil {
		return false, err
	}
	for i, e := range entries {
		if proof.CheckEntry(proofs[i], c, e.Index, e.Bytes) != nil {
			return false, nil
		}
	}
	return true, nil
}
