package media

// Every cap that the gate keeps, each with its reason.
const (
	// MaxBytes is the default cap on one original. The biggest JPEG that a
	// phone or a compact camera writes is about half of this; a file beyond it
	// is a scan, a film or an attack, and would fill a tablet.
	MaxBytes int64 = 40 << 20

	// MaxPixels is the default cap on width times height. A decoder's memory
	// grows with the pixels that the header claims, not with the bytes in the
	// file: a few kilobytes can claim four thousand million pixels.
	MaxPixels int64 = 100_000_000

	// MaxMemory caps what decoding one picture may take in memory, and all that
	// are decoded at once together. A usual photograph of 100 million pixels
	// takes a small part of it, since a JPEG is decoded at a part of its size.
	MaxMemory int64 = 512 << 20

	// MaxSide caps width and height alone. It is the most that a JPEG can say
	// (its header has 16 bits for each side), and PNG is held to the same so
	// that width*height cannot overflow and a single row stays small.
	MaxSide = 1<<16 - 1

	// MaxScans caps the passes in one JPEG. A progressive photo has about ten;
	// each pass makes a decoder walk over the whole picture again, so a small
	// file with thousands of empty passes could keep a tablet busy for hours.
	MaxScans = 100

	// ChunkSize is the piece in which an original travels: small enough that a
	// cut costs little on bad radio, large enough that each piece is worth its
	// own write to the disk. Every piece but the last has this length.
	ChunkSize = 256 << 10
)

// Limits are the caps that a shop may set. A zero field takes the default.
type Limits struct {
	Bytes  int64 // most bytes in one original; 0 means MaxBytes
	Pixels int64 // most pixels, width times height; 0 means MaxPixels
}

// DefaultLimits gives MaxBytes and MaxPixels.
func DefaultLimits() Limits { return Limits{Bytes: MaxBytes, Pixels: MaxPixels} }

func (l Limits) orDefault() Limits {
	if l.Bytes <= 0 {
		l.Bytes = MaxBytes
	}
	if l.Pixels <= 0 {
		l.Pixels = MaxPixels
	}
	return l
}

// CheckBytes refuses a size that no original may have, for those who learn the
// size before the bytes. The error is a [*Refused].
func (l Limits) CheckBytes(size int64) error {
	switch limit := l.orDefault().Bytes; {
	case size <= 0:
		return empty()
	case size > limit:
		return tooManyBytes(limit)
	default:
		return nil
	}
}

// Chunks is the number of pieces that an original of size bytes travels in; 0
// for a size that is not positive.
func Chunks(size int64) int {
	if size <= 0 {
		return 0
	}
	return int((size + ChunkSize - 1) / ChunkSize)
}

// ChunkLen is the length of piece index of an original of size bytes, or 0 if
// there is no such piece.
func ChunkLen(size int64, index int) int {
	switch n := Chunks(size); {
	case index < 0 || index >= n:
		return 0
	case index == n-1:
		return int(size - int64(n-1)*ChunkSize)
	default:
		return ChunkSize
	}
}
