package journaltest

import (
	"fmt"
	"time"

	"fettlebook/journal"
)

// Author turns drafts into entries as a log does, without storing them.
type Author struct {
	Source  journal.Source
	Boot    journal.BootID
	Clock   *journal.Clock
	Now     func() time.Time
	Started time.Time
	Seen    journal.Seen
	After   journal.After
}

// NewAuthor returns an author for one device of the sample shop. Equal seeds
// and watches give equal entries.
func NewAuthor(device journal.DeviceID, w *Watch, seed string) *Author {
	return &Author{
		Source:  journal.Source{Shop: Shop, Device: device},
		Boot:    "5c0e1d7a",
		Clock:   journal.NewClock(w.Now, Rand(seed)),
		Now:     w.Now,
		Started: w.Now().Add(-2 * time.Hour),
	}
}

// Write makes the entry of a valid draft.
func (a *Author) Write(d journal.Draft) (*journal.Entry, error) {
	if err := d.Valid(); err != nil {
		return nil, err
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		return nil, err
	}
	id, err := a.Clock.Next()
	if err != nil {
		return nil, err
	}
	now := a.Now()
	kind := d.Data.Kind()
	return &journal.Entry{
		SpecVersion:     "1.0",
		ID:              id,
		Source:          a.Source,
		Type:            journal.Type{Kind: kind, Version: kind.Version()},
		Subject:         d.Subject,
		Time:            journal.Stamp(now),
		DataContentType: "application/json",
		By:              d.By,
		Boot:            a.Boot,
		Uptime:          journal.Uptime(now.Sub(a.Started)),
		Seen:            a.Seen,
		After:           a.After,
		Data:            data,
	}, nil
}

// Encoded makes the bytes of the entry of a valid draft.
func (a *Author) Encoded(d journal.Draft) ([]byte, error) {
	e, err := a.Write(d)
	if err != nil {
		return nil, fmt.Errorf("write a draft about %s: %w", d.Subject, err)
	}
	return e.Encode()
}
