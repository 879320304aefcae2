package readonlytest

import (
	"bufio"
	"bytes"
	"crypto/rand"
	"os"
	"regexp"
	"strings"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// step is what is needed of a line of the demonstration's story.
type step struct {
	At      string         `json:"at"`
	Do      string         `json:"do"`
	Kind    journal.Kind   `json:"kind"`
	Subject string         `json:"subject"`
	By      string         `json:"by"`
	Data    jsontext.Value `json:"data"`
	As      string         `json:"as"`
	Shots   []struct {
		Shows string `json:"shows"`
	} `json:"shots"`
}

// Play writes the whole story of the demonstration, read from its file: three
// jobs of two vehicles with one bake in common, each entry at its time. The pages
// follow while it is written; nobody looks at them before its end.
func (s *Shop) Play(file string) {
	s.t.Helper()
	raw := must(os.ReadFile(file))(s.t)
	lines := bufio.NewScanner(bytes.NewReader(raw))
	lines.Buffer(nil, 1<<20)
	var last journal.EntryID
	for lines.Scan() {
		if len(bytes.TrimSpace(lines.Bytes())) == 0 {
			continue
		}
		var one step
		check(s.t, json.Unmarshal(lines.Bytes(), &one))
		if id := s.do(one); !id.IsZero() {
			last = id
		}
	}
	check(s.t, lines.Err())
	s.shown(last)
}

// do does a step, and returns the entry that it wrote, if it wrote one.
func (s *Shop) do(one step) (wrote journal.EntryID) {
	s.t.Helper()
	if one.At != "" {
		at := must(time.ParseInLocation("2006-01-02 15:04", one.At, s.Now().Location()))(s.t)
		s.Wait(max(0, at.Add(-time.Minute).Sub(s.Now()))) // a minute passes with each entry
	}
	switch {
	case one.Do == "open":
		s.Names[one.As] = string(must(journal.NewJobID(rand.Reader))(s.t))
	case one.Do == "card":
		var details journal.Details
		check(s.t, json.Unmarshal(one.Data, &details))
		cited := s.Card(details)
		s.Names[one.As], s.Names[one.As+"commitment"] = string(cited.Card), cited.Commitment.String()
	case one.Kind != "":
		data := one.Kind.Blank()
		if len(one.Data) > 0 {
			check(s.t, json.Unmarshal([]byte(s.fill(string(one.Data))), data))
		}
		var shows []string
		for _, shot := range one.Shots {
			shows = append(shows, shot.Shows)
		}
		e := s.written(journal.Subject(s.fill(one.Subject)), journal.PersonID(one.By), data, shows...)
		if wrote = e.ID; one.As != "" {
			s.Names[one.As] = wrote.String()
			for _, photo := range must(e.Photos())(s.t)[:min(1, len(shows))] {
				s.Names[one.As+"photo"] = photo.Ref.String()
			}
		}
	}
	return wrote
}

var dollar = regexp.MustCompile(`\$[a-z][a-z0-9]*`)

func (s *Shop) fill(text string) string {
	return dollar.ReplaceAllStringFunc(text, func(name string) string { return s.Names[strings.TrimPrefix(name, "$")] })
}

// Job is a job of the story by its name there: "job", "first" or "other".
func (s *Shop) Job(name string) journal.JobID { return journal.JobID(s.Names[name]) }
