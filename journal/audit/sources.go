package audit

import (
	"context"
	"io"
	"iter"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
)

// Sources is a data folder as the audit reads it. All of them are needed.
type Sources struct {
	Shop journal.ShopID
	// Own lists the logs that this machine writes or wrote.
	Own []journal.DeviceID
	// Hub is the device whose log is the shop's register. HubKey verifies
	// that log and CosignKey the hub's countersignatures; both are what the
	// folder was set up with, and everything else is checked against them.
	Hub               journal.DeviceID
	HubKey, CosignKey string
	// Agreed lists keys of the hub, by their fingerprint, that this folder goes
	// by though the ones before did not sign them.
	Agreed []journal.Digest
	Limits media.Limits // for originals; zero means the defaults

	Store     Store
	Logs      Logs
	Photos    Photos
	Beside    Beside
	Originals Originals
	Files     Files // nil checks none
}

// Files are those beside the database: keys, and what says whose folder it is.
type Files interface {
	// Inspect says what is wrong with them, by what the entries say.
	Inspect(context.Context, Register) []Finding
}

// Register is what the hub's entries say of the shop and its devices. Keys are those that
// the logs here were checked with.
type Register struct {
	Keys     map[journal.DeviceID]string // of the hub's log the last one
	Cosign   string                      // with which the hub countersigns now
	ShopName string
	Devices  map[journal.DeviceID]journal.Device
	Revoked  map[journal.DeviceID]bool
}

// Store checks itself.
type Store interface {
	// Integrity returns a sentence for each thing that is wrong with the
	// database as such. Its error is the context's only.
	Integrity(context.Context) ([]string, error)
}

// Logs gives the logs as they lie on the disk, with nothing verified. Entries
// come by rising index, countersignatures by rising size.
//
// An error in RawEntries stands for rows that cannot be read; its row has the
// index of the first of them, and the walk goes on behind them. In the other
// two an error ends the walk.
type Logs interface {
	RawLogs(context.Context) iter.Seq2[RawLog, error]
	RawEntries(ctx context.Context, log, from int64) iter.Seq2[RawEntry, error]
	RawCountersigned(ctx context.Context, log int64) iter.Seq2[journal.Countersigned, error]
}

// Photos gives the thumbnails, and what is noted about each original. An
// error in RawThumbs stands for rows that cannot be read, and the walk goes
// on; in RawPhotos it ends the walk.
type Photos interface {
	RawThumbs(context.Context) iter.Seq2[RawThumb, error]
	RawPhotos(context.Context) iter.Seq2[RawPhoto, error]
}

// Beside gives what lies beside the logs. An error stands for rows that
// cannot be read, and the walk goes on.
type Beside interface {
	RawCards(context.Context) iter.Seq2[RawCard, error]
	RawQuarantined(context.Context) iter.Seq2[RawQuarantined, error]
}

// Originals gives the originals: all their names, and each one's bytes. An
// original that is not here gives [media.ErrNotHere].
type Originals interface {
	All(context.Context) iter.Seq2[media.Ref, error]
	Open(context.Context, media.Ref) (io.ReadSeekCloser, int64, error)
}

// The shapes of rows. They are spelled out, not named types, so that a store
// can give them without knowing this package.
type (
	// RawLog is a log: the number it goes by in the store, whose it is, the
	// verifier key kept for it, why it takes no more entries ("" if it
	// does), and its number of entries (-1 if that cannot be told).
	RawLog = struct {
		Log         int64
		Device, Key string
		Closed      string
		Size        int64
	}

	// RawEntry is an entry's bytes with what is stored beside them: the tree
	// hashes that its leaf completes and the hashes of its thumbnails, 32
	// bytes each, and the checkpoint that was signed after it, if any.
	RawEntry = struct {
		Index                            int64
		Bytes, Nodes, Thumbs, Checkpoint []byte
	}

	// RawThumb is a thumbnail under the hash that it is stored by.
	RawThumb = struct{ Ref, Bytes []byte }

	// RawPhoto is what is noted of an original: its thumbnail, whether an
	// entry of this device names it, whether it was withdrawn, and when the
	// hub confirmed it (zero while it has not).
	RawPhoto = struct {
		Ref, Thumb     []byte
		Own, Withdrawn bool
		Confirmed      time.Time
	}

	// RawCard is a customer card: its name, the id of the entry that wrote or
	// erased it, and the card as JSON, nil once erased.
	RawCard = struct {
		Card          string
		Changed, JSON []byte
	}

	// RawQuarantined is something that came in and could not be verified.
	RawQuarantined = struct {
		At             time.Time
		Device, Reason string
		Bytes          int
	}
)
