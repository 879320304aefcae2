package audit

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/media"
)

// Severity says how bad a finding is.
type Severity string

// The severities.
const (
	Damage Severity = "damage" // something contradicts what was signed, or is missing
	Remark Severity = "remark" // worth knowing, and may be in order
)

// Part is what kind of thing a finding is about.
type Part string

// The parts of a data folder.
const (
	Database         Part = "database"
	Log              Part = "log"
	Key              Part = "key"
	Entry            Part = "entry"
	Checkpoint       Part = "checkpoint"
	Seal             Part = "seal"
	Countersignature Part = "countersignature"
	Thumbnail        Part = "thumbnail"
	Original         Part = "original"
	PhotoNote        Part = "photo note" // what the database notes of an original
	Card             Part = "customer card"
	Quarantine       Part = "quarantine"
	File             Part = "file" // beside the database
)

// Span is a range of entries of one log, from 0, both ends included. A
// checkpoint or countersignature is placed at the last entry it covers.
type Span struct {
	First int64 `json:"first"`
	Last  int64 `json:"last"`
}

// Where says where a finding is. Only what applies is set.
type Where struct {
	Part    Part             `json:"part"`
	Log     journal.DeviceID `json:"log,omitzero"`
	Entries *Span            `json:"entries,omitempty"`
	ID      journal.EntryID  `json:"id,omitzero"`    // of a single entry that can be read
	Photo   media.Ref        `json:"photo,omitzero"` // of a thumbnail or original; an original's file is named by its digits
	Card    journal.CardID   `json:"card,omitzero"`
	File    string           `json:"file,omitzero"` // its name in the folder
}

// String names the place in words.
func (w Where) String() string {
	switch named := w.Card != "" || !w.Photo.IsZero(); {
	case named && w.Entries == nil:
		return fmt.Sprintf("%s %s%s", w.Part, w.Card, w.Photo)
	case named:
		return fmt.Sprintf("%s %s%s, named by %s", w.Part, w.Card, w.Photo, w.entries())
	case w.Entries != nil && (w.Part == Entry || w.Part == Log):
		return w.entries()
	case w.Entries != nil:
		return fmt.Sprintf("%s at %s", w.Part, w.entries())
	case w.Part == Log:
		return fmt.Sprintf("log %s", w.Log)
	case w.File != "":
		return fmt.Sprintf("%s %s", w.Part, w.File)
	case w.Log != "":
		return fmt.Sprintf("%s of %s", w.Part, w.Log)
	default:
		return string(w.Part)
	}
}

// entries counts from 1, as people and the papers do.
func (w Where) entries() string {
	text := fmt.Sprintf("entry %d of log %s", w.Entries.First+1, w.Log)
	if w.Entries.First != w.Entries.Last {
		text = fmt.Sprintf("entries %d to %d of log %s", w.Entries.First+1, w.Entries.Last+1, w.Log)
	}
	if !w.ID.IsZero() {
		text += fmt.Sprintf(" (%s)", w.ID)
	}
	return text
}

// Finding is one thing that an audit found.
type Finding struct {
	Severity Severity `json:"severity"`
	Where    Where    `json:"where"`
	What     string   `json:"what"` // a sentence: what is wrong
	Do       string   `json:"do"`   // a sentence: what to do
}

// Counts says how much was checked, damaged or not.
type Counts struct {
	Logs              int   `json:"logs"`
	Entries           int   `json:"entries"`
	Checkpoints       int   `json:"checkpoints"`
	Countersignatures int   `json:"countersignatures"`
	Thumbnails        int   `json:"thumbnails"`
	Originals         int   `json:"originals"`
	OriginalBytes     int64 `json:"original_bytes"`
	Cards             int   `json:"cards"`
	Seals             int   `json:"seals"`
}

// Report is the result of an audit.
type Report struct {
	Format   string    `json:"format"` // always "fettlebook audit 1"
	Checked  Counts    `json:"checked"`
	Findings []Finding `json:"findings"` // in a stable order; empty if there is nothing to say
}

// Damaged reports whether anything is damaged. Remarks do not count.
func (r *Report) Damaged() bool { return r.count(Damage) > 0 }

func (r *Report) count(s Severity) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == s {
			n++
		}
	}
	return n
}

// add appends a finding and returns its place in the list.
func (r *Report) add(f Finding) int {
	r.Findings = append(r.Findings, f)
	return len(r.Findings) - 1
}
