package main

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/netip"
	"slices"
	"strconv"
	"sync"
	"time"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/journal"
)

// deskAccess lets browsers in at the desk.
type deskAccess struct {
	sessions *gate.Sessions
	people   *gate.People
	counts   *counts
	now      func() time.Time
	logger   *slog.Logger

	mu     sync.Mutex // guards failed
	failed []desk.FailedSignIn
}

// mostFailed are how many of those who failed to sign in are remembered: by each person
// and address one.
const mostFailed = 50

// Named implements [desk.Gate].
func (m *deskAccess) Named() (bool, error) {
	own, err := m.people.Own()
	return len(own) > 0, err
}

// SignIn implements [desk.Gate].
func (m *deskAccess) SignIn(w http.ResponseWriter, r *http.Request, who journal.PersonID, typed string) error {
	holder, err := m.check(w, r, who, typed)
	if err != nil {
		m.counts.signInsRefused.Add(1)
		return err
	}
	if _, err = m.sessions.SignIn(w, r, holder); err == nil {
		m.counts.signIns.Add(1)
		m.logger.InfoContext(r.Context(), "sign-in", "role", gate.Desk, "person", cmp.Or(who, "the desk"), "from", gate.From(r))
	}
	return err
}

// check checks a passphrase, and remembers whoever did not know it.
func (m *deskAccess) check(w http.ResponseWriter, r *http.Request, who journal.PersonID, typed string) (gate.Holder, error) {
	from := gate.From(r)
	holder, err := m.people.Check(r.Context(), gate.Person(who), typed, from)
	var slow *gate.Slow
	if errors.As(err, &slow) && w != nil {
		w.Header().Set("Retry-After", strconv.Itoa(int(slow.Wait.Seconds())+1))
	}
	if slow != nil || errors.Is(err, gate.ErrWrongPassphrase) || errors.Is(err, gate.ErrWrongSignIn) {
		// Never what was typed: who types into the wrong field types a passphrase.
		m.logger.InfoContext(r.Context(), "sign-in refused", "role", gate.Desk, "person", cmp.Or(who, "unknown"), "from", from, "error", err)
		m.remember(who, from, slow != nil)
	}
	return holder, err
}

func (m *deskAccess) remember(who journal.PersonID, from netip.Addr, waits bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	one := desk.FailedSignIn{Who: who, From: from.String()}
	if i := slices.IndexFunc(m.failed, func(f desk.FailedSignIn) bool { return f.Who == who && f.From == one.From }); i >= 0 {
		one.Tries = m.failed[i].Tries
		m.failed = slices.Delete(m.failed, i, i+1)
	}
	one.Tries, one.Last, one.Waits = one.Tries+1, m.now(), waits
	m.failed = slices.Insert(m.failed, 0, one)
	m.failed = m.failed[:min(len(m.failed), mostFailed)]
}

// Failed implements [desk.Passphrases].
func (m *deskAccess) Failed() []desk.FailedSignIn {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.Clone(m.failed)
}

// SignOut implements [desk.Gate].
func (m *deskAccess) SignOut(w http.ResponseWriter, r *http.Request) error {
	return m.sessions.SignOut(w, r, gate.Desk)
}

// SignedIn implements [desk.Gate].
func (m *deskAccess) SignedIn(r *http.Request) journal.PersonID { return memberOf(r.Context()) }

// memberOf is who signed in by name, "" where nobody did.
func memberOf(ctx context.Context) journal.PersonID {
	one, _ := gate.Of(ctx)
	return journal.PersonID(one.Person)
}

// holds reports whether a session still lets its holder in. A passphrase that cannot be
// read lets nobody in.
func (m *deskAccess) holds(h gate.Holder) bool {
	ok, err := m.people.Holds(h)
	if err != nil {
		m.logger.Error("look whether a session holds", "error", err)
	}
	return ok && err == nil
}

// Own implements [desk.Passphrases].
func (m *deskAccess) Own() (map[journal.PersonID]bool, error) {
	own, err := m.people.Own()
	list := make(map[journal.PersonID]bool)
	for who := range own {
		list[journal.PersonID(who)] = true
	}
	return list, err
}

// Give implements [desk.Passphrases]. Whoever has a new one is signed out everywhere
// else.
func (m *deskAccess) Give(w http.ResponseWriter, r *http.Request, who, owner journal.PersonID, confirm, passphrase string) error {
	if err := m.confirm(w, r, confirm); err != nil {
		return err
	}
	if err := m.people.Give(r.Context(), gate.Person(who), gate.Person(owner), passphrase); err != nil {
		return err
	}
	m.logger.InfoContext(r.Context(), "a passphrase was set", "person", who, "by", cmp.Or(m.SignedIn(r), "the desk"))
	if err := m.sessions.EndOf(gate.Person(who)); err != nil {
		return err
	}
	if m.SignedIn(r) != who {
		return nil
	}
	// The session in which this was asked for has ended, and its context with it.
	return m.SignIn(w, r.WithContext(context.WithoutCancel(r.Context())), who, passphrase)
}

// TakeAway implements [desk.Passphrases].
func (m *deskAccess) TakeAway(r *http.Request, who journal.PersonID, confirm string) error {
	if err := m.confirm(nil, r, confirm); err != nil {
		return err
	}
	if err := m.people.TakeAway(gate.Person(who)); err != nil {
		return err
	}
	m.logger.InfoContext(r.Context(), "a passphrase was taken away", "person", who, "by", m.SignedIn(r))
	return m.sessions.EndOf(gate.Person(who))
}

// confirm checks the passphrase of whoever asks: a browser that was left alone gives
// nobody away.
func (m *deskAccess) confirm(w http.ResponseWriter, r *http.Request, typed string) error {
	_, err := m.check(w, r, m.SignedIn(r), typed)
	if err == nil {
		return nil
	}
	if errors.Is(err, gate.ErrWrongSignIn) {
		err = errors.New("this is not your own passphrase as it is now; try again")
	}
	return &desk.WrongConfirm{Err: err}
}

// noting notes whom the gate does not let in. Where say is nil that is answered in plain text.
func noting(logger *slog.Logger, n *counts, say gate.Refuse) gate.Refuse {
	return func(w http.ResponseWriter, r *http.Request, status int, title, sentence string) {
		n.notLetIn.Add(1)
		logger.InfoContext(r.Context(), "not let in", "from", gate.From(r), "path", r.URL.Path, "status", status)
		if say == nil {
			http.Error(w, sentence, status)
			return
		}
		say(w, r, status, title, sentence)
	}
}
