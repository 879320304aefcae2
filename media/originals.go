package media

import (
	"context"
	"errors"
	"io"
)

// ErrNotHere says that a store does not hold the original. It may be on another
// machine, or withdrawn.
var ErrNotHere = errors.New("the original of this photograph is not on this machine")

// Away says that an original lies in a folder that is not in reach, such as on a disk that is
// not connected. It is an [ErrNotHere].
type Away struct{ Folder string }

func (e *Away) Error() string {
	return "the original of this photograph is in the archive " + e.Folder + ", which is not in reach; connect its disk"
}

// Is makes it one of what is not on this machine.
func (e *Away) Is(target error) bool { return target == ErrNotHere }

// Originals keeps the original bytes of photos under their Refs. All methods may
// be called from several goroutines at once.
//
// A store trusts its caller: the bytes that it is given under a Ref have that
// hash, because [Receive] computed it.
type Originals interface {
	// Create starts a new original whose Ref is not known yet. Whoever calls it
	// ends the draft with Commit or Abort.
	Create(context.Context) (Draft, error)

	// Open gives the bytes from the start, and how many there are. A missing
	// original is an error that is ErrNotHere. The caller closes it.
	Open(context.Context, Ref) (io.ReadSeekCloser, int64, error)

	// Has reports whether Open would find the original.
	Has(context.Context, Ref) (bool, error)
}

// A Draft is an original on its way in. Nothing of it can be seen through
// [Originals] before Commit. It is used by one goroutine.
type Draft interface {
	io.Writer

	// Commit makes what was written so far findable under ref, and returns only
	// when it would survive a power cut. If ref is already there, the store
	// keeps one copy and that is not an error. After an error the original may or
	// may not be there; it is never there in part, and Commit of the same bytes
	// in a new draft puts it right.
	Commit(ctx context.Context, ref Ref) error

	// Abort throws the draft away. After Commit it does nothing.
	Abort() error
}
