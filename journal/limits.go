package journal

import (
	"reflect"
	"time"
)

// All caps on what an entry may hold stand here, each with its reason.
const (
	// MaxEntryBytes caps one encoded entry. A probe trace of four channels
	// over two hours at one reading a second fits; a segment of one such
	// entry with MaxPhotos thumbnails still fits one broker message.
	MaxEntryBytes = 224 << 10

	// MaxQuotingBytes caps an entry that quotes another one whole, so that
	// whatever could be written can be taken over: the quoted entry, its
	// escapes, a proof and a checkpoint. It fits a segment with MaxPhotos
	// thumbnails too.
	MaxQuotingBytes = MaxEntryBytes + 16<<10

	// MaxProof caps the hashes of an inclusion proof: one for each level of a
	// log of MaxLog entries.
	MaxProof = 40

	// MaxPhotos caps the photos of one entry, so that entry and thumbnails
	// together stay below MaxSegmentBytes. More photos are more entries.
	MaxPhotos = 8

	// MaxThumbBytes caps one thumbnail, which travels inside a segment.
	MaxThumbBytes = 64 << 10

	// MaxSegmentBytes caps the entries and thumbnails of one segment. The
	// broker's default message limit is 1 MiB; the rest is head room for
	// framing.
	MaxSegmentBytes = 768 << 10

	// MaxSealed caps the entries that one seal covers: a hundred times those of
	// a long job, and few enough to be counted out.
	MaxSealed = 50_000

	// MaxText caps a free text, in characters: a long paragraph, not a file.
	MaxText = 4000

	// MaxCardText caps the text of a route card, in characters: some forty
	// stages with their cautions and hold points.
	MaxCardText = 64000

	// MaxName caps a short name such as a person, a tool or a lot.
	MaxName = 40

	// MaxMarks caps what one entry points at on photographs: a picture with more
	// shows nothing.
	MaxMarks = 64

	// MaxParts caps the parts of one run: a full rack of small brackets.
	MaxParts = 200

	// MaxAfter caps the other logs that an entry cites: more devices than a
	// shop has that are not closed.
	MaxAfter = 64

	// MaxLog is more entries than a device writes in its life; sizes of logs
	// up to it fit every place that counts them.
	MaxLog = 1 << 40

	// MaxReadings caps the readings of one channel of a probe trace.
	MaxReadings = 20000

	// MaxAhead is how far another device's clock may run ahead of this one
	// before it is no longer followed. Ten minutes is far beyond what two
	// watches in one shop differ, and near enough that order stays sensible.
	MaxAhead = 10 * time.Minute
)

// textCap returns the cap of a text field.
func textCap(holder reflect.Type, member string) int {
	switch {
	case holder == reflect.TypeFor[RouteCard]() && member == "text":
		return MaxCardText
	case holder == reflect.TypeFor[TakenOver]() && member == "entry":
		return MaxEntryBytes
	default:
		return MaxText
	}
}
