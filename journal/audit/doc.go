// Package audit checks a whole data folder and lists everything that is
// wrong with it, not only the first thing.
//
// It reads what lies on the disk through interfaces of its own ([Sources])
// and uses nothing of what writes: trees and references are computed again
// from the bytes. It changes nothing.
//
//	report, err := audit.Run(ctx, sources, nil)
//	if err != nil {
//		return err // ctx ended; damage is not an error but a finding
//	}
//	report.WriteText(os.Stdout)
//	if report.Damaged() { … }
//
// # What is checked
//
//   - The database: its tables and triggers, every page, index and reference.
//   - Every entry: no gap, strict form, id rising within the log, source, data
//     of its kind, its hash, every tree hash stored beside it, the thumbnails
//     noted beside it.
//   - Every checkpoint: signed by the device, of the right size, and with the
//     root that the entries give. The last entry of a log must have one.
//   - Every countersignature: signed by the device and the hub, with the time
//     noted beside it and the root that the entries give, and not beyond the
//     log's end.
//   - Keys: each log's against the register in the hub's log, the hub's
//     against what the folder was set up with.
//   - The order of clocks: what an entry says it has seen of the hub's log
//     existed, and was older.
//   - Thumbnails and originals: each is what its hash says, each that an entry
//     names is here or may be absent, each original is a whole picture.
//   - Customer cards: each opens the commitment of its entry, and of an erased
//     one nothing is left.
//   - Seals: the entries of a job that was handed back are those that were
//     sealed, where the seal says which they are.
//   - What lies in quarantine, which devices were found with two histories.
//
// What nothing signs cannot be checked: the reason why a log was closed, when
// the hub confirmed an original, how far the cards were exchanged, and the
// bytes in quarantine.
//
// # Damage and remarks
//
// [Damage] is a contradiction: bytes that are not those that were signed, or
// a thing that must be here and is not. A [Remark] is what a person should
// know and may be in order: a photo that has not arrived, an entry of a newer
// fettlebook.
//
// A changed entry does not make all that follows it look changed. Its own
// hash, the stored hashes above it and the next signature together tell which
// of them was changed, and the walk goes on from what is right. Where they
// cannot tell, the finding is over the entries that stand between two
// signatures. Like findings on entries that follow each other become one.
//
// # JSON
//
// A [Report] can be encoded as JSON. Members without a value are left out;
// members are never renamed, new ones may be added.
//
//	{"format": "fettlebook audit 1",
//	 "checked": {"logs": 2, "entries": 212, "checkpoints": 212, "countersignatures": 14,
//	             "thumbnails": 31, "originals": 31, "original_bytes": 50541002, "cards": 4, "seals": 3},
//	 "findings": [
//	   {"severity": "damage",
//	    "where": {"part": "entry", "log": "t3fz8c1n", "entries": {"first": 4, "last": 4}, "id": "0195a3c1-…"},
//	    "what": "Its bytes are not those that the device signed.",
//	    "do": "Keep a copy of …"}]}
//
// Findings stand in a stable order: the database, the logs with the hub's
// first, thumbnails, originals, cards, quarantine.
package audit
