package demo

import (
	"bufio"
	"bytes"
	_ "embed" // the story
	"fmt"
	"regexp"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// The story holds invented people, vehicles and figures.
//
//go:embed story.jsonl
var story []byte

// step is one line of the story: something to say, something to do to the
// network, or an entry to write.
type step struct {
	At  string `json:"at,omitzero"` // day and time of day, in the machine's zone; left out, the clock runs on
	Say string `json:"say,omitzero"`
	Do  action `json:"do,omitzero"`

	On      string         `json:"on,omitzero"`      // hub, bench 1, bench 2
	Kind    journal.Kind   `json:"kind,omitzero"`    // of the entry
	Subject string         `json:"subject,omitzero"` // with $names of what came before
	By      string         `json:"by,omitzero"`
	Data    jsontext.Value `json:"data,omitempty"`
	As      string         `json:"as,omitzero"` // calls the entry's id $as from here on, and its first photograph $asphoto
	Shots   []shot         `json:"shots,omitempty"`
}

// shot is a photograph to be taken.
type shot struct {
	Picture string `json:"picture"` // its name in this demonstration
	Shows   string `json:"shows"`
}

// action is what happens to the network and the machines.
type action string

// The actions.
const (
	cutOne   action = "cut bench 1"  // its network is gone
	mendOne  action = "mend bench 1" // and back
	killHub  action = "kill hub"     // with no warning, if asked for; then started again
	meet     action = "meet"         // wait until hub and both tablets hold the same
	meetTwo  action = "meet bench 2" // wait until the hub holds all of bench 2
	sealed   action = "seal"         // wait until the hub has sealed the record of the job called As
	showHold action = "holds"        // say which hold points of the job are broken, as On knows it
	openJob  action = "open"         // draw a job's name; As: its $name
	newCard  action = "card"         // write a customer card at On; Data: its details
	readTag  action = "read"         // read the label of Subject at On, which says what hangs on it
)

// How a time is written in the story, and how it is told.
const (
	stepTime   = "2006-01-02 15:04"
	dayAndTime = "Monday, 2 January 2006, 15:04"
)

// time is when a step is played.
func (s *step) time(zone *time.Location) (time.Time, error) {
	at, err := time.ParseInLocation(stepTime, s.At, zone)
	if err != nil {
		return at, fmt.Errorf("the time of a step of the story: %w", err)
	}
	return at, nil
}

// readStory reads the script and refuses what it does not know.
func readStory(raw []byte) ([]step, error) {
	var steps []step
	lines := bufio.NewScanner(bytes.NewReader(raw))
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		if len(bytes.TrimSpace(lines.Bytes())) == 0 {
			continue
		}
		var s step
		if err := json.Unmarshal(lines.Bytes(), &s, json.RejectUnknownMembers(true)); err != nil {
			return nil, fmt.Errorf("story line %d: %w", n, err)
		}
		steps = append(steps, s)
	}
	return steps, lines.Err()
}

var dollar = regexp.MustCompile(`\$[a-z][a-z0-9]*`)

// names maps the story's $names to what they became.
type names map[string]string

// fill puts names in. An unknown name is an error of the story.
func (n names) fill(text string) (string, error) {
	var missing string
	filled := dollar.ReplaceAllStringFunc(text, func(name string) string {
		v, ok := n[name[1:]]
		if !ok {
			missing = name
		}
		return v
	})
	if missing != "" {
		return "", fmt.Errorf("the story names %s before it is there", missing)
	}
	return filled, nil
}

// draft makes the entry of a step.
func (s *step) draft(n names) (journal.Draft, error) {
	subject, err := n.fill(s.Subject)
	if err != nil {
		return journal.Draft{}, err
	}
	data := "{}"
	if len(s.Data) > 0 {
		if data, err = n.fill(string(s.Data)); err != nil {
			return journal.Draft{}, err
		}
	}
	d := journal.Draft{By: journal.PersonID(s.By)}
	if d.Subject, err = journal.ParseSubject(subject); err != nil {
		return d, err
	}
	payload := s.Kind.Blank()
	if payload == nil {
		return d, fmt.Errorf("%w: %s", journal.ErrUnknownKind, s.Kind)
	}
	if err := json.Unmarshal([]byte(data), payload, json.RejectUnknownMembers(true)); err != nil {
		return d, fmt.Errorf("%s: %w", s.Kind, err)
	}
	d.Data = payload
	return d, nil
}
