package folder

import (
	"errors"
	"fmt"
	"path/filepath"

	"fettlebook/media/durable"

	"github.com/gofrs/flock"
)

// ErrInUse is wrapped when another program writes the folder.
var ErrInUse = errors.New("this data folder is in use by another fettlebook; stop that one first, or leave the work to it")

// Lock takes the folder for writing. The system frees it when the program
// ends, however it ends.
func Lock(dir string) (*flock.Flock, error) {
	if err := durable.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make data folder: %w", err)
	}
	l := flock.New(filepath.Join(dir, "lock"), flock.SetPermissions(0o600))
	got, err := l.TryLock()
	if err != nil {
		return nil, fmt.Errorf("lock data folder: %w", err)
	}
	if !got {
		return nil, fmt.Errorf("%w (%s)", ErrInUse, dir)
	}
	return l, nil
}
