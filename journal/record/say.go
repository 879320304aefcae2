package record

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json/jsontext"
)

// Says states what was written, struck or not, with its remark, as the shop writes
// numbers and days. A newer kind and what cannot be read show their data.
func (l *Line) Says() string { return l.sayIn(l.Writing()) }

// Plainly states what Says does for programs: whatever the shop chose.
func (l *Line) Plainly() string { return l.sayIn(words.Writing{}) }

func (l *Line) sayIn(w words.Writing) string {
	switch {
	case l.told != nil:
		return remarked(l.told, l.Data, w)
	case l.Payload != nil:
		return remarked(l.Payload, l.Data, w)
	case l.Kind != "":
		return fmt.Sprintf("%s/%d %s", l.Kind, l.Version, shortened(string(l.Data)))
	default:
		return fmt.Sprintf("%d bytes that are not an entry: %s", len(l.Raw), shortened(string(l.Raw)))
	}
}

// Of returns the line as it is told of some jobs: its sentences say nothing of
// where the parts of others hung.
func (l *Line) Of(mine func(journal.Subject) bool) *Line {
	own := *l
	if l.Payload != nil {
		own.told = journal.OwnOf(l.Payload, mine)
	}
	if l.Struck != nil && l.Struck.now != nil {
		struck := *l.Struck
		struck.told = journal.OwnOf(struck.now, mine)
		own.Struck = &struck
	}
	return &own
}

// Note is the remark that somebody added to what the entry says, whatever its
// kind.
func (l *Line) Note() string { return noteOf(l.Data) }

// Now states what stands instead of a struck line, or "" if nothing does.
func (l *Line) Now() string { return l.instead(l.Writing()) }

// NowPlainly states what Now does for programs.
func (l *Line) NowPlainly() string { return l.instead(words.Writing{}) }

func (l *Line) instead(w words.Writing) string {
	if l.Struck == nil || l.Struck.now == nil {
		return ""
	}
	now := l.Struck.told
	if now == nil {
		now = l.Struck.now
	}
	return remarked(now, l.Struck.Replacement, w)
}

// Writing is how the shop writes of which the line is.
func (l *Line) Writing() (w words.Writing) {
	if l.of != nil {
		w = l.of.Writing()
	}
	return w
}

func remarked(p journal.Payload, data jsontext.Value, w words.Writing) string {
	said := journal.Told(p, w).Say()
	if p.Kind() == journal.NoteMade {
		return said
	}
	return withNote(said, data)
}

// withNote adds the remark to what an entry says.
func withNote(said string, data jsontext.Value) string {
	if note := noteOf(data); note != "" {
		return said + " — " + note
	}
	return said
}

// shown is how much of raw data a line of text shows; the JSON has it whole.
const shown = 300

func shortened(text string) string {
	runes := []rune(text)
	if len(runes) <= shown {
		return text
	}
	return string(runes[:shown]) + "…"
}
