package draft

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

const suffix = ".json"

// Key says whose draft it is and of which form. By is empty until somebody has
// said who they are.
type Key struct {
	By   journal.PersonID
	Path string // of the form's page, with what tells its kind
}

// file is the name of the draft's file: nothing of it comes from outside.
func (k Key) file() string {
	sum := sha256.Sum256([]byte(string(k.By) + "\x00" + k.Path))
	return hex.EncodeToString(sum[:16]) + suffix
}

// Draft is a form that is not stamped yet.
type Draft struct {
	By     journal.PersonID    `json:"by,omitzero"`
	Path   string              `json:"path"`
	Title  string              `json:"title,omitzero"`
	When   time.Time           `json:"when"` // changed last
	Values map[string][]string `json:"values,omitempty"`
	Photos []Photo             `json:"photos,omitempty"`
	File   *File               `json:"file,omitzero"`
	// Cards are of the customers of whom something is typed: it goes when one of them
	// is erased.
	Cards []journal.CardID `json:"cards,omitempty"`
}

// Photo is a picture that was taken in and that no entry names yet.
type Photo struct {
	journal.Photo
	Findings []string `json:"findings,omitempty"` // what is wrong with it, a sentence each
}

// File is a file of a recorder, as it was sent.
type File struct {
	Name  string `json:"name"`
	Bytes []byte `json:"bytes"`
}

func (d *Draft) head(size int64) head {
	return head{Item: Item{Path: d.Path, Title: d.Title, When: d.When}, by: d.By, cards: d.Cards, size: size}
}

func (d *Draft) encode() ([]byte, error) {
	raw, err := json.Marshal(d, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("encode a draft: %w", err)
	}
	if len(raw) > MaxBytes {
		return nil, ErrTooBig
	}
	return append(raw, '\n'), nil
}

// read reads a draft's file. A file under another draft's name is damaged too.
func (s *Store) read(file string) (Draft, error) {
	raw, err := os.ReadFile(filepath.Join(s.dir, file))
	if err != nil {
		return Draft{}, fmt.Errorf("read a draft: %w", err)
	}
	var d Draft
	if err := json.Unmarshal(raw, &d, json.RejectUnknownMembers(true)); err != nil {
		return Draft{}, fmt.Errorf("%w (%s: %w)", ErrDamaged, file, err)
	}
	if (Key{d.By, d.Path}).file() != file {
		return Draft{}, fmt.Errorf("%w (%s is another one’s)", ErrDamaged, file)
	}
	return d, nil
}
