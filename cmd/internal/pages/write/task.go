package write

import (
	"maps"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json/jsontext"
)

// task is one entry that is to be written.
type task struct {
	kind    journal.Kind
	subject journal.Subject
	path    string // of its page with what tells its kind: the form's address
	title   string // in the list of what is unfinished
	sheet   form.Sheet
	snap    *live.Snapshot
	by      journal.PersonID

	at    *place             // of a stage of a card, nil beside one
	of    *record.Line       // what a correction strikes through
	parts *[]journal.Subject // of a run, nil for a kind or subject that names none
	rack  bool               // of a run that begins: its parts are ticked on the page
	hung  []string           // parts that a link names, beside those of what is begun already
	pair  *pair              // of a word on their order
	start form.Values        // what the form holds before anything is typed
	roles []string           // of pictures, beside those that the stage wants
	// presets are with what the form of what a part has can be begun.
	presets card.Presets
	// names are what the part has, by the fields that ask for it by name.
	names map[string][]journal.Item

	// confirms is by what whoever stamps shows that it is them; "" where the card of the
	// job does not want it.
	confirms journal.Confirmation
	// wrap makes the entry of the sheet's payload; nil if that is it already.
	wrap func(journal.Payload, form.Values) (journal.Payload, form.Problems)
	// about is the subject, where only the data says it.
	about func(journal.Payload) (journal.Subject, error)
	// next is where the browser goes when the entry is in the record.
	next func(*live.Snapshot, journal.Subject) string
}

func (t *task) key() draft.Key { return draft.Key{By: t.by, Path: t.path} }

// payload reads what was typed.
func (t *task) payload(v form.Values) (journal.Payload, form.Problems) {
	p, problems := t.parsed(v)
	if len(problems) > 0 {
		return nil, problems
	}
	if t.wrap != nil {
		return t.wrap(p, v)
	}
	return p, nil
}

func (t *task) parsed(v form.Values) (journal.Payload, form.Problems) {
	if t.kind == journal.PhotoTaken { // which has nothing to be typed but a remark
		return &journal.Snapshot{Evidence: journal.Evidence{Note: strings.TrimSpace(strings.Join(v[noteName], ""))}}, nil
	}
	v, problems := t.confirmed(t.measured(v))
	if len(problems) > 0 {
		return nil, problems
	}
	data, problems := t.data(v)
	if len(problems) > 0 {
		return nil, problems
	}
	p, err := journal.ParsePayload(journal.Type{Kind: t.kind, Version: t.kind.Version()}, data)
	if err != nil {
		return nil, t.sheet.Placed(err)
	}
	if problems := unread(p); len(problems) > 0 {
		return nil, problems
	}
	if c, ok := p.(journal.Confirming); ok {
		c.Confirm(t.confirms) // a stamp that was not confirmed does not get as far as the log
	}
	return p, nil
}

// chosen are the parts that are ticked.
func chosen(v form.Values) []journal.Subject {
	var list []journal.Subject
	for _, name := range v[partsName] {
		if s, err := journal.ParseSubject(name); err == nil && !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}

// partsName is the field in which a run's page ticks its parts.
const partsName = pages.Hung

// typed is what the form shows: the draft, or what it starts with.
func (t *task) typed(d draft.Draft) form.Values {
	if len(d.Values) > 0 {
		return maps.Clone(form.Values(d.Values))
	}
	return maps.Clone(t.start)
}

// same looks for an entry that says what a press asks for, written since.
func (t *task) same(s *live.Snapshot, subject journal.Subject, data journal.Payload, since time.Time) (journal.EntryID, bool) {
	raw, err := journal.MarshalPayload(data)
	if err != nil {
		return journal.EntryID{}, false
	}
	for _, l := range s.Written(data.Kind(), t.by, since) {
		if (l.Subject == subject || subject.Word() == "run") && string(l.Data) == string(raw) {
			return l.ID, true
		}
	}
	return journal.EntryID{}, false
}

// data is the entry's data as typed, with the parts of the run.
func (t *task) data(v form.Values) (jsontext.Value, form.Problems) {
	if t.rack {
		if problems := t.hang(v); len(problems) > 0 {
			return nil, problems
		}
	}
	if t.pair != nil {
		v = t.pair.both(v)
	}
	if t.parts == nil {
		return t.sheet.Data(v)
	}
	sheet, with := t.sheet, maps.Clone(v)
	sheet.Fields = append(slices.Clone(sheet.Fields), form.Field{Name: "parts", Label: "Parts", Control: form.Several})
	with["parts"] = nil
	for _, p := range *t.parts {
		with["parts"] = append(with["parts"], string(p))
	}
	return sheet.Data(with)
}
