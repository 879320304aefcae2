package write

import (
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json/jsontext"
)

// The fields of a correction beside those of the entry.
const (
	whyName   = "why"     // a usual reason
	wordsName = "because" // a reason in own words
)

// reasons are what usually goes wrong at a bench. The first is taken if nobody
// says another: a slip must be put right in three taps.
func reasons() []string {
	return []string{"slipped a digit", "wrong corner", "wrong tool", "entered twice"}
}

// correct is the page that strikes an entry through: what was written stays,
// and something else may stand beside it.
func (w *Writer) correct(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	id, err := journal.ParseEntryID(r.PathValue("id"))
	if err != nil {
		w.missing(rw, r, http.StatusNotFound, words.Sentence(err.Error()))
		return
	}
	lines := s.Line(id)
	if len(lines) == 0 {
		w.missing(rw, r, http.StatusNotFound, "There is no entry with this number here. It may still be on another tablet.")
		return
	}
	line := lines[0]
	for _, kind := range []journal.Kind{journal.EntryCorrected, line.Kind} {
		if err := w.refused(r, kind); err != nil {
			w.missing(rw, r, http.StatusForbidden, words.Sentence(err.Error()))
			return
		}
	}
	t := &task{kind: line.Kind, subject: line.Subject, path: "/correct/" + id.String(), snap: s, by: w.By(r), of: line,
		title: "Correct: " + line.About, confirms: w.confirms(s, line.Subject, line.Kind),
		next: func(_ *live.Snapshot, about journal.Subject) string { return home(about) }}
	// A kind that the program writes by itself has no sheet, and can be struck
	// through only.
	if sheet, err := form.Of(line.Kind); err == nil {
		t.sheet = sheet.In(s.Shop.Units)
		t.start = t.sheet.Values(line.Stands())
	} else {
		t.sheet = form.Sheet{Kind: line.Kind, Title: line.About}
		t.start = form.Values{}
	}
	t.parts = racked(line)
	if word, ok := line.Payload.(*journal.OrderStatement); ok {
		t.pair = t.paired(word.First, word.Then)
	}
	t.wrap = t.instead
	w.serve(rw, r, t)
}

// racked are the parts that an entry names, which its correction names again;
// nil if it names none.
func racked(l *record.Line) *[]journal.Subject {
	parts := slices.Clone(journal.Hung(l.Payload))
	if len(parts) == 0 {
		return nil
	}
	return &parts
}

// instead makes the correction that puts a payload in the place of what was
// written, with the photographs that were there.
func (t *task) instead(p journal.Payload, v form.Values) (journal.Payload, form.Problems) {
	for _, photo := range t.of.Photos {
		journal.Attach(p, journal.Photo{Ref: photo.Ref, Thumb: photo.Thumb, Role: photo.Role, Taken: photo.Taken})
	}
	raw, err := journal.MarshalPayload(p)
	if err != nil {
		return nil, form.Problems{"": words.Sentence(err.Error())}
	}
	if t.of.Effect() != nil && t.saysTheSame(p, raw) {
		return nil, form.Problems{"": "Nothing is changed yet. Change what is wrong, or strike the entry out without replacement."}
	}
	return t.struck(v, raw), nil
}

// saysTheSame reports whether a payload says what counts of the entry, by whatever that was
// confirmed.
func (t *task) saysTheSame(p journal.Payload, raw jsontext.Value) bool {
	is, ok := p.(journal.Confirming)
	was, before := t.of.Effect().(journal.Confirming)
	if ok && before {
		now := is.Confirmed()
		is.Confirm(was.Confirmed())
		if same, err := journal.MarshalPayload(p); err == nil {
			raw = same
		}
		is.Confirm(now)
	}
	return string(raw) == string(t.of.Stands())
}

// struck is the correction with or without something instead.
func (t *task) struck(v form.Values, instead jsontext.Value) *journal.Correction {
	reason := strings.TrimSpace(strings.Join(v[wordsName], " "))
	if chip := strings.Join(v[whyName], ""); reason == "" && slices.Contains(reasons(), chip) {
		reason = chip
	}
	if reason == "" {
		reason = reasons()[0]
	}
	return &journal.Correction{Of: t.of.ID, Reason: reason, Data: instead}
}
