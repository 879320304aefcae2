package audit

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
)

// entry checks what one entry says. Its bytes may be anything. What it says
// of keys counts only if its own hash is the stored one.
func (l *logAudit) entry(row RawEntry, intact bool) {
	at := row.Index
	e, err := journal.Decode(row.Bytes)
	if err != nil {
		l.find(Damage, Entry, at, at, journal.EntryID{}, fmt.Sprintf("It cannot be read: %v.", err), doRestore)
		l.noted(row, nil, journal.EntryID{})
		return
	}
	if e.Source.Shop != l.Shop || e.Source.Device != l.device {
		l.find(Damage, Entry, at, at, e.ID, "It names another shop or device as its source than the log's.", doAsk)
	}
	l.order(at, e)
	l.seen(at, e)
	photos, err := e.Photos()
	l.noted(row, photos, e.ID)
	if err != nil {
		l.find(Damage, Entry, at, at, e.ID, fmt.Sprintf("Its photos cannot be made out: %v.", err), doReport)
		return
	}
	l.picture(at, e.ID, photos)
	l.payload(at, e, intact)
}

// noted compares the hashes of thumbnails stored beside an entry with those
// that it names.
func (l *logAudit) noted(row RawEntry, photos []journal.Photo, id journal.EntryID) {
	var want []byte
	for _, p := range photos {
		want = append(want, p.Thumb[:]...)
	}
	if !bytes.Equal(row.Thumbs, want) {
		l.find(Damage, Entry, row.Index, row.Index, id, "The thumbnails noted beside it are not those that it names.", doDatabase)
	}
}

// payload checks the data of a known kind, and learns from it.
func (l *logAudit) payload(at int64, e *journal.Entry, intact bool) {
	p, err := e.Payload()
	switch {
	case errors.Is(err, journal.ErrUnknownKind):
		kind := e.Type.String()
		s, again := l.newer[kind]
		if !again {
			s.First = at
		}
		s.Last = at
		l.newer[kind] = s
		return
	case err != nil:
		l.find(Damage, Entry, at, at, e.ID, fmt.Sprintf("Its data is not as its kind must be: %v.", err), doReport)
		return
	}
	if places := e.Type.Kind.Places(); len(places) > 0 && !slices.Contains(places, e.Subject.Word()) {
		l.find(Damage, Entry, at, at, e.ID, "An entry of this kind cannot be about a "+e.Subject.Word()+".", doReport)
	}
	l.learn(Where{Part: Entry, Log: l.device, Entries: &Span{at, at}, ID: e.ID}, p, intact)
}

// learn keeps what is needed to check other things: keys, cards, photos,
// corrections.
func (l *logAudit) learn(at Where, data journal.Payload, intact bool) {
	if l.hub && intact {
		switch p := data.(type) {
		case *journal.Shop:
			l.checkFounding(at, p)
		case *journal.Device:
			l.enrol(at, p)
		case *journal.ForkFound:
			l.forks = append(l.forks, fork{at, *p})
		}
	}
	switch p := data.(type) {
	case *journal.Correction:
		l.corrections = append(l.corrections, correction{at, p.Of})
	case *journal.Withdrawal:
		l.photo(p.Photo).withdrawn = true
	case *journal.CardWriting:
		c := l.card(p.Card)
		c.written = append(c.written, writing{at, p.Commitment, l.own})
	case *journal.CardErasing:
		c := l.card(p.Card)
		c.erased = append(c.erased, at)
	}
}

// correction is an entry that strikes another one through.
type correction struct {
	at Where
	of journal.EntryID
}

func (a *audit) checkCorrections() {
	for _, c := range a.corrections {
		if !a.ids[c.of] {
			a.remark(c.at, "It strikes through the entry "+c.of.String()+", which is not here.", doSync)
		}
	}
}
