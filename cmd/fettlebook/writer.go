package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/sync/hub"
)

// writer is what commands write with: the data folder itself, or, through its
// control address, the program that holds it.
type writer interface {
	Snap(ctx context.Context, r io.Reader, role string) (journal.Photo, []byte, error)
	Append(ctx context.Context, d journal.Draft) (*journal.Entry, error)
	SaveCard(ctx context.Context, s journal.CardState) error
	Close() error
}

var (
	_ writer = (*folder.Folder)(nil)
	_ writer = (*control.Client)(nil)
)

// openWriter opens the data folder, or asks the program that runs there.
func openWriter(ctx context.Context, t *terminal) (writer, error) {
	f, err := folder.Open(ctx, t.Data, t.folder())
	if errors.Is(err, folder.ErrInUse) {
		return control.Dial(t.Data)
	}
	if err != nil {
		return nil, err
	}
	if err := whole(ctx, f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// noted is a writer to whose callers what is written is written: what goes
// wrong after it is a note beside the answer.
type noted struct {
	writer
	to io.Writer
}

// Append implements [writer].
func (n noted) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	e, err := n.writer.Append(ctx, d)
	if e != nil && err != nil {
		_, err = fmt.Fprintln(n.to, "note:", err)
	}
	return e, err
}

// whole refuses to write to a hub's log that was lost: it must first come
// back, or the hub would begin a second history.
func whole(ctx context.Context, f *folder.Folder) error {
	if f.Role != folder.Hub {
		return nil
	}
	head, err := f.Log.Head(ctx, f.Device)
	if err != nil {
		return err
	}
	if head.Size == 0 {
		return &exit.Error{Status: exit.Busy, Sentence: hub.ErrRecovering.Error(), Err: hub.ErrRecovering}
	}
	return nil
}

// identityOf reads whose folder it is, and refuses one of another role than a command is for.
func identityOf(dir string, want folder.Role) (folder.Identity, error) {
	id, err := folder.ReadIdentity(dir)
	if err == nil && id.Role != want {
		err = notA(want, id)
	}
	return id, err
}

// notA says that a command is for the other kind of machine.
func notA(want folder.Role, got folder.Identity) error {
	return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("this folder belongs to the %s %q, and the command is for a %s", got.Role, got.Name, want)}
}
