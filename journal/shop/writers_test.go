package shop_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// writers are the devices of a shop, of which each writes an entry a step later
// than the one before, into logs that a shop reads.
type writers struct {
	*testing.T
	logs    *logs
	watch   *journaltest.Watch
	step    time.Duration
	authors map[journal.DeviceID]*journaltest.Author
	seen    *seen // what their entries say that they held; nil if they say nothing
}

func newWriters(t *testing.T) *writers {
	return &writers{T: t, logs: newLogs(), watch: journaltest.NewWatch(journaltest.Morning()), step: time.Minute, authors: make(map[journal.DeviceID]*journaltest.Author)}
}

// newSeers are writers whose entries say what they had seen.
func newSeers(t *testing.T) *writers {
	w := newWriters(t)
	w.seen = newSeen()
	return w
}

func (w *writers) author(device journal.DeviceID) *journaltest.Author {
	if w.authors[device] == nil {
		w.authors[device] = journaltest.NewAuthor(device, w.watch, string(device))
	}
	return w.authors[device]
}

// made is the next entry of a device, with its bytes, which nobody has yet. Who
// writes is io, unless the draft says who.
func (w *writers) made(on journal.DeviceID, d journal.Draft) (*journal.Entry, []byte) {
	w.Helper()
	w.watch.Advance(w.step)
	if d.By == "" {
		d.By = "io"
	}
	if w.seen != nil {
		w.author(on).After = w.seen.after(on)
	}
	e, err := w.author(on).Write(d)
	if err != nil {
		w.Fatal(err)
	}
	raw, err := e.Encode()
	if err != nil {
		w.Fatal(err)
	}
	return e, raw
}

// arrive has the bytes of a device's next entry arrive.
func (w *writers) arrive(on journal.DeviceID, raw []byte) {
	if w.seen != nil {
		w.seen.wrote(on, raw)
	}
	w.logs.arrive(on, raw)
}

// drafted has the entry of a draft made and arrive.
func (w *writers) drafted(on journal.DeviceID, d journal.Draft) *journal.Entry {
	w.Helper()
	e, raw := w.made(on, d)
	w.arrive(on, raw)
	return e
}

// write is drafted of what somebody says about a subject.
func (w *writers) write(on journal.DeviceID, about journal.Subject, by journal.PersonID, data journal.Payload) journal.EntryID {
	w.Helper()
	return w.drafted(on, journal.Draft{Subject: about, By: by, Data: data}).ID
}
