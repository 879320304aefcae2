package service

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fettlebook/media/durable"
)

// Manager installs units and removes them.
type Manager struct {
	Exec func(ctx context.Context, name string, args ...string) error // runs a command of the system
}

// ErrThere is wrapped when a service of that name is installed otherwise already.
var ErrThere = errors.New("a service of this name is installed already and starts something else; remove it first, or give this one another --name")

// ErrNone is wrapped when there is no service of a name.
var ErrNone = errors.New("no service of this name is installed")

// Unread says that the unit is written, and that the system was not made to read it.
type Unread struct {
	Unit Unit
	Err  error
}

func (e *Unread) Error() string {
	var lines []string
	for _, c := range e.Unit.Begin {
		lines = append(lines, strings.Join(c, " "))
	}
	return fmt.Sprintf("%s is written, but the system did not take it (%v); when it can, run: %s", e.Unit.File, e.Err, strings.Join(lines, "; "))
}

func (e *Unread) Unwrap() error { return e.Err }

// Install writes a unit and has the system start it, now and with the machine.
func (m Manager) Install(ctx context.Context, u Unit) error {
	before, err := os.ReadFile(u.File)
	switch {
	case err == nil && string(before) != u.Text:
		return fmt.Errorf("%w (%s)", ErrThere, u.File)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("install a service: %w", err)
	}
	if err := durable.MkdirAll(filepath.Dir(u.File), 0o755); err != nil {
		return fmt.Errorf("install a service: %w", err)
	}
	if err := durable.WriteFile(u.File, []byte(u.Text), 0o644); err != nil {
		return fmt.Errorf("install a service: %w", err)
	}
	for _, c := range u.Begin {
		if err := m.Exec(ctx, c[0], c[1:]...); err != nil {
			return &Unread{u, err}
		}
	}
	return nil
}

// Remove has the system stop what a unit starts, and takes the unit away. That the system
// does not know it any more is nothing wrong.
func (m Manager) Remove(ctx context.Context, u Unit) error {
	if _, err := os.Stat(u.File); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w (%s)", ErrNone, u.File)
	}
	var said []error
	for _, c := range u.End {
		if err := m.Exec(ctx, c[0], c[1:]...); err != nil {
			said = append(said, err)
		}
	}
	if err := durable.Remove(u.File); err != nil {
		return fmt.Errorf("remove a service: %w", errors.Join(append(said, err)...))
	}
	for _, c := range u.After {
		if err := m.Exec(ctx, c[0], c[1:]...); err != nil {
			said = append(said, err)
		}
	}
	if len(said) > 0 {
		return fmt.Errorf("the service does not start any more; stop what runs of it by hand, since the system said: %w", errors.Join(said...))
	}
	return nil
}
