package gate

import (
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// ErrSessions says that the file of sessions is damaged.
var ErrSessions = errors.New("the file that says who is signed in is damaged, so nobody is signed in; sign in or pair your phone again")

// fileVersion is raised when older programs would misread the file.
const fileVersion = 1

type sessionFile struct {
	Version  int       `json:"version"`
	Sessions []Session `json:"sessions"`
}

func formatSessions(list []Session) ([]byte, error) {
	return json.Marshal(sessionFile{Version: fileVersion, Sessions: list}, jsontext.Multiline(true))
}

// parseSessions takes a file whole or not at all. Errors are [ErrSessions].
func parseSessions(raw []byte) ([]Session, error) {
	var f sessionFile
	if err := json.Unmarshal(raw, &f, json.RejectUnknownMembers(true)); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrSessions, err)
	}
	if f.Version != fileVersion {
		return nil, fmt.Errorf("%w: its version is %d, not %d", ErrSessions, f.Version, fileVersion)
	}
	if f.Sessions == nil {
		return nil, fmt.Errorf("%w: it has no list of sessions", ErrSessions)
	}
	seen := make(map[SessionID]bool, len(f.Sessions))
	for i, one := range f.Sessions {
		if !one.valid() || seen[one.ID] {
			return nil, fmt.Errorf("%w: session %d of %d makes no sense", ErrSessions, i+1, len(f.Sessions))
		}
		seen[one.ID] = true
	}
	return f.Sessions, nil
}

func (s Session) valid() bool {
	id, err := hex.DecodeString(string(s.ID))
	if err != nil || len(id) != 32 || strings.ToLower(string(s.ID)) != string(s.ID) {
		return false
	}
	return s.Holder.valid() && !s.Made.IsZero() && !s.Used.Before(s.Made)
}

func (h Holder) valid() bool {
	switch h.Role {
	case Desk:
		return h.Name == "" && (h.Person == "") == (h.Mark == "") && len(h.Person) <= maxPerson && len(h.Mark) <= 2*markLength
	case Phone:
		name, err := phoneName(h.Name)
		return err == nil && name == h.Name && h.Person == "" && h.Mark == ""
	default:
		return false
	}
}

// maxPerson is how many bytes the name of a person may have.
const maxPerson = 64

func byAge(a, b Session) int {
	return cmp.Or(a.Made.Compare(b.Made), cmp.Compare(a.ID, b.ID))
}
