package audit

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"
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
	l.together(at, e)
	counts := l.counts(at, e)
	if l.hub {
		l.hubAt(at, time.Time(e.Time))
	}
	if counts {
		l.clock(at, e)
		l.seen(at, e)
		counts = l.quote(at, e)
	}
	photos, err := e.Photos()
	l.noted(row, photos, e.ID)
	if err != nil {
		l.find(Damage, Entry, at, at, e.ID, fmt.Sprintf("Its photographs cannot be read: %v.", err), doReport)
		return
	}
	l.picture(at, e.ID, photos, e.Type.Kind == journal.EntryTakenOver)
	l.payload(at, e, intact, counts)
}

// counts finds out whether the entry counts where it lies. That it does not is
// no damage: the device signed it, and a log cannot leave it out.
func (l *logAudit) counts(at int64, e *journal.Entry) bool {
	by := journal.Authority{Shop: l.Shop, Hub: l.Hub}
	if v := by.Voids(e, l.device, l.top.Falls(e.ID)); v != "" {
		l.find(Remark, Entry, at, at, e.ID, words.Sentence(v.Sentence()), doForeign)
		if _, here := l.ids[e.ID]; !here {
			l.ids[e.ID] = false // from here on it is, and claims nothing
		}
		return false
	}
	if l.ids[e.ID] {
		l.find(Damage, Entry, at, at, e.ID, "Another entry has the same id.", doAsk)
	}
	l.ids[e.ID] = true
	if e.Type.Kind.Writer() == journal.HubOnly {
		l.guarded[e.ID] = true
	}
	return true
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
func (l *logAudit) payload(at int64, e *journal.Entry, intact, counts bool) {
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
	if !counts {
		return
	}
	where := Where{Part: Entry, Log: l.device, Entries: &Span{at, at}, ID: e.ID}
	if change, ok := p.(*journal.KeyChange); ok && l.hub && intact {
		l.changeKeys(where, e, change)
	}
	if t, quoted := e.Quotes(); t != nil {
		if p, err = quoted.Payload(); err != nil {
			return // it says nothing that this version could check
		}
		where.ID = quoted.ID
	}
	l.learn(where, p, intact)
}

// quote verifies what an entry quotes, and reports whether the entry may count.
// That it does not is not damage: the device signed it so.
func (l *logAudit) quote(at int64, e *journal.Entry) bool {
	if e.Type.Kind != journal.EntryTakenOver {
		return true
	}
	void := journal.NotQuotable
	t, quoted := e.Quotes()
	if t != nil {
		if _, here := l.ids[quoted.ID]; !here {
			l.ids[quoted.ID] = false // it may be corrected, and lies in no log that counts
		}
		if proof.CheckQuote(t, l.Shop, l.keysOf(t.Device)) == nil {
			return true
		}
		void = journal.NotProven
	}
	l.find(Remark, Entry, at, at, e.ID, words.Sentence(void.Sentence()), doForeign)
	return false
}

// keysOf returns the key with which the register enrolled a device, and the
// hub's own.
func (l *logAudit) keysOf(device journal.DeviceID) []string {
	if device == l.Hub {
		return l.keys.LogKeys()
	}
	if key := l.enrolled[device]; key != "" {
		return []string{key}
	}
	return nil
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
		case *journal.Revocation:
			l.register.Revoked[p.Device] = true
		case *journal.ForkFound:
			l.forks = append(l.forks, fork{at, *p})
		case *journal.Seal:
			l.seals = append(l.seals, sealed{at, p})
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
	of := make(map[journal.EntryID]journal.EntryID, len(a.corrections))
	for _, c := range a.corrections {
		of[c.at.ID] = c.of
	}
	for _, c := range a.corrections {
		if _, here := a.ids[c.of]; !here {
			a.remark(c.at, "It strikes through the entry "+c.of.String()+", which is not here.", doSync)
		}
		if c.at.Log != a.Hub && a.needsHub(c.of, of) {
			a.remark(c.at, words.Sentence(journal.NoAuthority.Sentence()), doForeign)
		}
	}
}

// needsHub reports whether only the hub may correct an entry: of follows
// corrections to what they are about in the end.
func (a *audit) needsHub(id journal.EntryID, of map[journal.EntryID]journal.EntryID) bool {
	for range len(of) + 1 {
		if a.guarded[id] {
			return true
		}
		next, corrects := of[id]
		if !corrects {
			return false
		}
		id = next
	}
	return false // round in a circle
}
