package write

import (
	"encoding/hex"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// refusal is why there is no form.
type refusal struct {
	status int
	say    string
}

// entry is the page that writes one entry of a kind about a subject.
func (w *Writer) entry(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	about, err := journal.ParseSubject(r.PathValue("subject"))
	if err != nil {
		w.missing(rw, r, http.StatusNotFound, words.Sentence(err.Error()))
		return
	}
	t, no := w.task(r, s, journal.Kind(r.PathValue("kind")), about)
	if no != nil {
		w.missing(rw, r, no.status, no.say)
		return
	}
	t.path = "/write/" + string(t.kind) + "/" + string(about)
	t.next = func(_ *live.Snapshot, about journal.Subject) string { return home(about) }
	said := t.said(r.URL.Query())
	t.countedBack(s, r.URL.Query()[countedName])
	if t.kind == journal.OrderStated {
		if t.pair, no = w.pair(t, r.URL.Query()); no != nil {
			w.missing(rw, r, no.status, no.say)
			return
		}
		if !t.pair.again.IsZero() {
			w.doAgain(rw, r, t)
			return
		}
		said, t.next = t.pair.query(), t.settled
	}
	if len(said) > 0 {
		t.path += "?" + said.Encode()
	}
	t.foresee(w.Now())
	w.foreseeLook(t)
	w.serve(rw, r, t)
}

// said takes what a link says of the form's fields, such as which hold is to
// be waived, into the form, and returns it.
func (t *task) said(query url.Values) url.Values {
	said := url.Values{}
	if t.start == nil {
		t.start = form.Values{}
	}
	for name := range query {
		if text := query.Get(name); text != "" && len(text) <= journal.MaxText && t.sheet.Asks(name) {
			said.Set(name, text)
			t.start[name] = []string{text}
		}
	}
	return said
}

// task makes ready what is to be written, or says why it cannot be.
func (w *Writer) task(r *http.Request, s *live.Snapshot, kind journal.Kind, about journal.Subject) (*task, *refusal) {
	sheet, err := form.Of(kind)
	if err != nil {
		return nil, &refusal{http.StatusNotFound, words.Sentence(err.Error())}
	}
	if err := w.refused(r, kind); err != nil {
		return nil, &refusal{http.StatusForbidden, words.Sentence(err.Error())}
	}
	sheet = sheet.In(s.Shop.Units)
	t := &task{kind: kind, subject: about, sheet: sheet, snap: s, by: w.By(r), title: sheet.Title + " · " + pages.Place(about), confirms: w.confirms(s, about, kind)}
	places := kind.Places()
	switch {
	case kind == journal.JobOpened:
		return nil, &refusal{http.StatusNotFound, "A job is opened on its own page, /job/new."}
	case len(places) > 0 && !slices.Contains(places, about.Word()):
		return nil, &refusal{http.StatusNotFound, fmt.Sprintf("“%s” is not written about a %s. It is about: %s.", sheet.Title, about.Word(), strings.Join(places, ", "))}
	case about.Job() != "" && s.Job(about.Job()) == nil:
		return nil, &refusal{http.StatusNotFound, "There is no job " + string(about.Job()) + " here. It may still be on another tablet."}
	case about.Run() != "" && s.Run(about.Run()) == nil:
		return nil, &refusal{http.StatusNotFound, "There is no run " + string(about.Run()) + " here. It may still be on another tablet."}
	}
	if word := about.Word(); len(places) == 1 && len(about.Job())+len(about.Run()) == 0 && word != "shop" {
		t.register(word)
		return t, nil
	}
	if run := s.Run(about.Run()); run != nil && takesParts(kind) {
		t.parts = &run.Parts
	}
	if l := last(s, kind, about, t.by); l != nil {
		t.start = sheet.Reuse(filled(sheet, l.Effect()))
		if l.Subject.Job() != about.Job() {
			t.lendNothing()
		}
	}
	switch kind {
	case journal.UnitsChosen:
		t.start = filled(sheet, &journal.Units{Units: s.Shop.Units})
	case journal.WritingChosen:
		t.start = filled(sheet, journal.NewWriting(s.Shop.Writing(), s.Shop.Naming))
	}
	t.begin(s)
	t.offers(s)
	t.named(s)
	t.places()
	t.called()
	t.questions(s, r)
	t.ownOnly()
	return t, nil
}

// register makes the task one about a thing of the register, whose name stands
// in the data. The page of one that is not there yet is called new.
func (t *task) register(word string) {
	t.start = form.Values{}
	if stated := t.stated(); stated != nil {
		t.start = filled(t.sheet, stated)
	}
	if name := t.subject.Last(); name != journal.Unnamed {
		t.start[word] = []string{name}
	}
	t.about = func(p journal.Payload) (journal.Subject, error) {
		raw, err := journal.MarshalPayload(p)
		if err != nil {
			return "", err
		}
		return journal.ParseSubject(word + "/" + member(raw, word))
	}
}

// filled is a form as it would have to be filled in for a payload.
func filled(sheet form.Sheet, p journal.Payload) form.Values {
	raw, err := journal.MarshalPayload(p)
	if err != nil {
		return form.Values{}
	}
	return sheet.Values(raw)
}

// stated is what the register says of a person or a powder lot that is stated
// anew, such as once its box is opened: each is stated as a whole, and what is
// not changed has to stay.
func (t *task) stated() journal.Payload {
	switch t.kind {
	case journal.PersonAdded:
		if p := t.snap.Shop.Person(journal.PersonID(t.subject.Last())); p != nil && p.Stated != nil {
			return p.Stated
		}
	case journal.PowderReceived:
		if lot, _ := t.snap.Stock().Lot(journal.LotID(t.subject.Last())); lot != nil {
			return lot
		}
	}
	return nil
}

// member returns a text out of an entry's data.
func member(data jsontext.Value, name string) string {
	members := make(map[string]jsontext.Value)
	var text string
	if json.Unmarshal(data, &members) != nil || json.Unmarshal(members[name], &text) != nil {
		return ""
	}
	return text
}

// takesParts reports whether entries of a kind name the parts of a run.
func takesParts(kind journal.Kind) bool {
	_, ok := kind.Blank().(interface{ Hung() []journal.Subject })
	return ok
}

// token draws the number of a form, by which a press that is sent twice is
// known.
func (w *Writer) token() (string, error) {
	var b [12]byte
	if _, err := io.ReadFull(w.Rand, b[:]); err != nil {
		return "", fmt.Errorf("draw the number of a form: %w", err)
	}
	return hex.EncodeToString(b[:]), nil
}
