package shoptest

import (
	"context"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/uplink"

	"github.com/nats-io/nkeys"
)

// Tablet is a tablet of a [Shop].
type Tablet struct {
	Bench *Bench
	Line  *Line // while connected
	// Connection, Faults and Seed hold for the next Connect.
	Connection Connection
	Faults     Faults
	Seed       uint64

	t      testing.TB
	dir    string
	wrote  int
	online bool
}

func (b *Tablet) open() {
	b.t.Helper()
	var err error
	if b.Bench, err = OpenBench(b.t.Context(), b.dir, b.Connection.Now); err != nil {
		b.t.Fatal(err)
	}
}

func (b *Tablet) close() {
	if err := b.Bench.Close(); err != nil {
		b.t.Error(err)
	}
	b.online = false
}

// Device returns the name of the tablet's log.
func (b *Tablet) Device() journal.DeviceID { return b.Bench.ID.Device }

// Connect starts the sync.
func (b *Tablet) Connect() {
	b.t.Helper()
	c := b.Connection
	c.Line = func(inner uplink.Line) uplink.Line {
		if b.Connection.Line != nil {
			inner = b.Connection.Line(inner)
		}
		b.Line = NewLine(inner, b.Faults, b.Seed)
		return b.Line
	}
	if err := b.Bench.Connect(context.WithoutCancel(b.t.Context()), c); err != nil {
		b.t.Fatal(err)
	}
	b.online = true
}

// Disconnect stops the sync; the tablet can still be written to.
func (b *Tablet) Disconnect() {
	b.t.Helper()
	if err := b.Bench.Disconnect(); err != nil {
		b.t.Fatal(err)
	}
	b.online = false
}

func (b *Tablet) cut() bool { return !b.online }

// Append writes entries, as somebody at the bench does.
func (b *Tablet) Append(n int) {
	b.t.Helper()
	b.wrote++
	drafts, err := Drafts(n, 2000, uint64(b.wrote))
	if err != nil {
		b.t.Fatal(err)
	}
	for _, d := range drafts {
		b.Write(d)
	}
}

// Write appends one draft.
func (b *Tablet) Write(d journal.Draft) *journal.Entry {
	b.t.Helper()
	e, err := b.Bench.DB.Append(b.t.Context(), d)
	if err != nil {
		b.t.Fatal(err)
	}
	return e
}

// Applicant returns the tablet as it asked to join, with the keys it has.
func (b *Tablet) Applicant(name string) uplink.Applicant {
	b.t.Helper()
	log, err := proof.ParseKey(b.Bench.ID.Log)
	if err != nil {
		b.t.Fatal(err)
	}
	line, err := nkeys.FromSeed([]byte(b.Bench.ID.Line))
	if err != nil {
		b.t.Fatal(err)
	}
	return uplink.Applicant{Device: b.Device(), Name: name, Log: log, Line: line}
}

// Copy keeps a copy of the tablet's database and returns what brings it back.
// The tablet is without a connection after either.
func (b *Tablet) Copy() (restore func()) {
	b.t.Helper()
	b.close()
	files := keep(b.t, b.dir)
	b.open()
	return func() {
		b.t.Helper()
		b.close()
		putBack(b.t, b.dir, files)
		b.open()
	}
}
