package order

import "fettlebook/journal"

// Worked returns how many entries of a log count: their standings are kept.
func (k *Keeper) Worked(device journal.DeviceID) int64 { return k.front.Closed(device) }
