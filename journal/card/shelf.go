package card

import (
	"embed"
	"errors"
	"fmt"
	"sync"

	"fettlebook/journal"
)

//go:embed cards/*.yaml
var embedded embed.FS

// Usual is the card that holds for jobs that name none.
const Usual journal.RouteID = "caliper"

// ErrNoCard is returned for a job whose card is not here yet.
var ErrNoCard = errors.New("the route card of this job is not here yet; it comes with the shop’s register")

// Supplied returns the text of a card that comes with the program: "caliper"
// or "arm".
func Supplied(name journal.RouteID) (string, error) {
	raw, err := embedded.ReadFile("cards/" + string(name) + ".yaml")
	if err != nil {
		return "", fmt.Errorf("%w: no card %q comes with this program", ErrNoCard, name)
	}
	return string(raw), nil
}

// Shelf keeps cards that were read, so that each text is read and its rules
// are compiled once. The zero Shelf is empty. It is safe for concurrent use.
type Shelf struct {
	mu    sync.Mutex
	cards map[string]*taken
}

// taken is the outcome of reading a text.
type taken struct {
	card *Card
	err  error
}

// Take reads a card that was published, or finds it read already.
func (s *Shelf) Take(text string) (*Card, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t := s.cards[text]; t != nil {
		return t.card, t.err
	}
	if s.cards == nil {
		s.cards = make(map[string]*taken)
	}
	card, err := ParseHeld(text)
	s.cards[text] = &taken{card, err}
	return card, err
}
