package gate

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"sync"
	"time"

	"fettlebook/media/durable"
)

// SessionID names a session on pages and in the file. It is the SHA-256 of the
// token in lower-case hex, and so no help in guessing the token.
type SessionID string

// Role is what a session lets its holder into.
type Role string

const (
	Desk  Role = "desk"  // the hub's pages; ends after 12 hours without use
	Phone Role = "phone" // a tablet's pages; ends 30 days after pairing
)

const (
	deskIdle  = 12 * time.Hour
	phoneLife = 30 * 24 * time.Hour
	// useStep is how far the time of last use may lag behind, so that not every
	// request waits for the disk. A desk may be signed out this much early.
	useStep = 5 * time.Minute
	// maxSessions is many times what a shop needs. Beyond it the one that was
	// not used for longest ends.
	maxSessions = 256
)

// Holder is who holds a session.
type Holder struct {
	Role Role   `json:"role"`
	Name string `json:"name,omitempty"` // of the phone; empty for the desk

	// Who signed in at the desk, and by which passphrase; empty where nobody has one of
	// their own.
	Person Person `json:"person,omitempty"`
	Mark   string `json:"mark,omitempty"`
}

// Session is one browser's leave to come in.
type Session struct {
	ID SessionID `json:"id"`
	Holder
	Made time.Time `json:"made"`
	Used time.Time `json:"used"` // last, to five minutes
}

// Ends returns when the session ends if it is not used again.
func (s Session) Ends() time.Time {
	if s.Role == Desk {
		return s.Used.Add(deskIdle)
	}
	return s.Made.Add(phoneLife)
}

// Keep is where and how sessions are kept.
type Keep struct {
	Path  string // of the file, in an existing folder
	Scope Scope
	Now   func() time.Time
	Rand  io.Reader
}

// Sessions are who is signed in or paired. They outlast the program.
//
// A clock that stands earlier than a session's times, as on a small machine just
// after its start, ends nothing.
type Sessions struct {
	path  string
	scope Scope
	now   func() time.Time
	rand  io.Reader

	mu   sync.Mutex // guards held and the file
	held map[SessionID]*held
}

// held is a session in memory; its context ends with it.
type held struct {
	Session
	ctx context.Context
	end context.CancelFunc
}

// OpenSessions reads the sessions from their file, which need not exist. If it
// cannot be understood, the error is [ErrSessions] and the Sessions beside it
// are in working order, with nobody in them.
func OpenSessions(k Keep) (*Sessions, error) {
	s := &Sessions{path: k.Path, scope: k.Scope, now: k.Now, rand: k.Rand, held: make(map[SessionID]*held)}
	raw, err := os.ReadFile(k.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read who is signed in: %w", err)
	}
	kept, err := parseSessions(raw)
	if err != nil {
		return s, err
	}
	for _, one := range kept {
		s.hold(one)
	}
	return s, nil
}

func (s *Sessions) hold(one Session) {
	ctx, end := context.WithCancel(context.Background())
	s.held[one.ID] = &held{Session: one, ctx: ctx, end: end}
}

func (s *Sessions) drop(id SessionID) {
	s.held[id].end()
	delete(s.held, id)
}

// List returns the sessions that have not ended, the newest first.
func (s *Sessions) List() []Session {
	s.mu.Lock()
	defer s.mu.Unlock()
	now, list := s.stamp(), s.list()
	slices.Reverse(list)
	return slices.DeleteFunc(list, func(one Session) bool { return !now.Before(one.Ends()) })
}

// End ends one session, which may have ended before.
func (s *Sessions) End(id SessionID) error {
	return s.endEach(func(one Session) bool { return one.ID == id })
}

// EndOf ends the sessions of a person.
func (s *Sessions) EndOf(who Person) error {
	return s.endEach(func(one Session) bool { return one.Role == Desk && one.Person == who })
}

// EndAll ends the sessions of a role, as when the passphrase is changed.
func (s *Sessions) EndAll(role Role) error {
	return s.endEach(func(one Session) bool { return one.Role == role })
}

func (s *Sessions) endEach(which func(Session) bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	found := false
	for id, one := range s.held {
		if which(one.Session) {
			s.drop(id)
			found = true
		}
	}
	if !found {
		return nil
	}
	if err := s.save(); err != nil {
		return fmt.Errorf("signed out only until the program starts again, because the disk is full or cannot be written; free some space and sign out again: %w", err)
	}
	return nil
}

// begin makes a session and draws its token, of 256 bits. The session is on the
// disk before the token is handed out.
func (s *Sessions) begin(h Holder) (Session, string, error) {
	var drawn [32]byte
	if _, err := io.ReadFull(s.rand, drawn[:]); err != nil {
		return Session{}, "", fmt.Errorf("draw a token: %w", err)
	}
	token := base64.RawURLEncoding.EncodeToString(drawn[:])
	now := s.stamp()
	one := Session{ID: idOf(token), Holder: h, Made: now, Used: now}

	s.mu.Lock()
	defer s.mu.Unlock()
	s.makeRoom(now)
	s.hold(one)
	if err := s.save(); err != nil {
		s.drop(one.ID)
		return Session{}, "", err
	}
	return one, token, nil
}

// makeRoom drops what has ended, and if that is not enough the session that was
// not used for longest.
func (s *Sessions) makeRoom(now time.Time) {
	for id, one := range s.held {
		if !now.Before(one.Ends()) {
			s.drop(id)
		}
	}
	for len(s.held) >= maxSessions {
		s.drop(slices.MinFunc(s.list(), func(a, b Session) int { return a.Used.Compare(b.Used) }).ID)
	}
}

// use finds the session of a token and counts this as a use of it. renewed says
// that its end may have moved.
func (s *Sessions) use(token string, role Role) (found held, renewed, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.stamp()
	one, ok := s.held[idOf(token)]
	if !ok || one.Role != role || !now.Before(one.Ends()) {
		return held{}, false, false
	}
	if now.Sub(one.Used) >= useStep {
		one.Used, renewed = now, true
		// A disk that does not take this is not a reason to send people away: after
		// a restart the session only ends the earlier for it.
		_ = s.save()
	}
	return *one, renewed, true
}

// idOf needs no comparison in constant time after it: who measures how far a
// wrong hash agrees learns nothing of the token.
func idOf(token string) SessionID {
	sum := sha256.Sum256([]byte(token))
	return SessionID(hex.EncodeToString(sum[:]))
}

// stamp is now as the file can hold it.
func (s *Sessions) stamp() time.Time { return s.now().UTC().Round(0) }

func (s *Sessions) list() []Session {
	list := make([]Session, 0, len(s.held))
	for _, one := range s.held {
		list = append(list, one.Session)
	}
	slices.SortFunc(list, byAge)
	return list
}

func (s *Sessions) save() error {
	raw, err := formatSessions(s.list())
	if err == nil {
		err = durable.WriteFile(s.path, raw, 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep who is signed in: %w", err)
	}
	return nil
}
