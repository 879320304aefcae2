package draft

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/words"
	"fettlebook/media/durable"

	"github.com/go-json-experiment/json"
)

const (
	pressFile = "presses.json"
	// maxPresses are remembered: a busy day at a few benches.
	maxPresses = 200
	// pressLife is how long a browser may hold an old page and send it again.
	pressLife = 2 * 24 * time.Hour
)

// Press is one press of the button that writes.
type Press struct {
	Token   string // drawn when the form was shown
	Content string // a hash of what the entry says
}

// Spent says that a token has already led to an entry that says something else:
// a page from before was changed and sent again.
type Spent struct {
	Entry journal.EntryID
	When  time.Time
}

func (e *Spent) Error() string {
	return "this form was stamped before, at " + words.Clock(e.When) + ", with something else in it; press once more to write this as another entry"
}

// press is a press as it is remembered. Entry is missing from the moment before
// the writing until after it.
type press struct {
	Token   string          `json:"token"`
	Content string          `json:"content"`
	Begun   time.Time       `json:"begun"`
	Entry   journal.EntryID `json:"entry,omitzero"`
}

// Once writes what a press asks for, unless that was done already: then it
// returns the entry that it led to. It survives a kill at any instant, because
// a press is remembered before anything is written; found then says whether
// an entry with this content came into the log since. The error is a *[Spent]
// if the token has led to something else, or that of write. With an entry beside
// an error, the entry is written and something after it went wrong.
func (s *Store) Once(p Press, found func(since time.Time) (journal.EntryID, bool), write func() (journal.EntryID, error)) (journal.EntryID, error) {
	s.saving.Lock()
	defer s.saving.Unlock()
	if id, led, err := s.led(p, found); led {
		return id, err
	}
	if old, ok := s.pressed(p.Token); ok && !old.Entry.IsZero() {
		return old.Entry, &Spent{Entry: old.Entry, When: old.Begun}
	}
	now := press{Token: p.Token, Content: p.Content, Begun: s.now()}
	if err := s.remember(now); err != nil {
		return journal.EntryID{}, err
	}
	var err error
	if now.Entry, err = write(); now.Entry.IsZero() {
		return now.Entry, err
	}
	return now.Entry, errors.Join(err, s.remember(now))
}

// Led returns the entry that a press has led to already; of one that was cut off, the
// entry that found finds. It waits for one that is writing.
func (s *Store) Led(p Press, found func(since time.Time) (journal.EntryID, bool)) (journal.EntryID, bool) {
	s.saving.Lock()
	defer s.saving.Unlock()
	id, led, err := s.led(p, found)
	return id, led && err == nil
}

// led is [Store.Led]. saving is held.
func (s *Store) led(p Press, found func(since time.Time) (journal.EntryID, bool)) (journal.EntryID, bool, error) {
	old, ok := s.pressed(p.Token)
	switch {
	case !ok || old.Content != p.Content:
		return journal.EntryID{}, false, nil
	case !old.Entry.IsZero():
		return old.Entry, true, nil
	}
	if old.Entry, ok = found(old.Begun); !ok {
		return journal.EntryID{}, false, nil
	}
	return old.Entry, true, s.remember(old)
}

// Spent reports whether a token has led to an entry. What an old page still
// sends is then not kept as a draft.
func (s *Store) Spent(token string) bool {
	p, ok := s.pressed(token)
	return ok && !p.Entry.IsZero()
}

func (s *Store) pressed(token string) (press, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.presses, func(p press) bool { return p.Token == token })
	if i < 0 {
		return press{}, false
	}
	return s.presses[i], true
}

// remember keeps a press on the disk, in place of what was known of its token.
func (s *Store) remember(p press) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.presses = slices.DeleteFunc(s.presses, func(o press) bool { return o.Token == p.Token || s.now().Sub(o.Begun) > pressLife })
	s.presses = append(s.presses, p)
	if n := len(s.presses) - maxPresses; n > 0 {
		s.presses = slices.Delete(s.presses, 0, n)
	}
	raw, err := json.Marshal(s.presses)
	if err == nil {
		err = durable.WriteFile(filepath.Join(s.dir, pressFile), append(raw, '\n'), 0o600)
	}
	if err != nil {
		return fmt.Errorf("remember what was pressed: %w", err)
	}
	return nil
}

// readPresses reads what is remembered. A damaged file is as good as none:
// it only guards against sending twice what was pressed just before.
func (s *Store) readPresses() {
	raw, err := os.ReadFile(filepath.Join(s.dir, pressFile))
	if err == nil {
		err = json.Unmarshal(raw, &s.presses)
	}
	if err != nil {
		s.presses = nil
	}
}
