package main

import (
	"context"
	"errors"
	"io"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
)

// unreadableLog is a log whose signatures cannot be read.
type unreadableLog struct{ dossierLog }

var errDisk = errors.New("the disk cannot be read")

func (unreadableLog) CountersignedSince(context.Context, journal.DeviceID, int64, int) ([]journal.Countersigned, error) {
	return nil, errDisk
}

// A report does not say that the hub's signature is missing when it could not
// be read.
func TestReportOfUnreadableSeal(t *testing.T) {
	o := readonlytest.New(t)
	const id = journal.JobID("4f7kk2m9")
	about := journal.About(id, "", "")
	o.Write(about, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "FB 204"}, Corners: []journal.Corner{journal.LeftFront}, Route: "caliper", Edition: 1})
	o.Write(about, "hub", &journal.Seal{Entries: 1, Root: journal.Digest{1}})
	told := &dossier.Told{View: o.Live.View(t.Context()), About: evidence.About{Jobs: []journal.JobID{id}}, Asked: evidence.Asked{Photos: evidence.NoPhotos}, At: o.Now()}
	add := func(_ context.Context, _ string, write func(io.Writer) error) error { return write(io.Discard) }
	if err := (report{unreadableLog{}, nil}).Write(t.Context(), told, add); !errors.Is(err, errDisk) {
		t.Errorf("written: %v", err)
	}
}
