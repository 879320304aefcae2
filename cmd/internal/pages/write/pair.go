package write

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// pair is two entries of which somebody says which was done first.
type pair struct {
	lines [2]*record.Line
	holds []route.Verdict // that hang on it
	again journal.EntryID // the one that has to be done again, if no word counts
}

// The fields of a word on an order.
const (
	firstName = "first"
	thenName  = "then"
)

// pair finds the two entries that a link names, or says why this person cannot
// say which was first.
func (w *Writer) pair(t *task, query url.Values) (*pair, *refusal) {
	named := query[pages.PairName]
	if len(named) != 2 {
		return nil, &refusal{http.StatusNotFound, "Which two entries are meant? Come here from the hold point that is in doubt."}
	}
	var ids [2]journal.EntryID
	for i, text := range named {
		id, err := journal.ParseEntryID(text)
		if err != nil {
			return nil, &refusal{http.StatusNotFound, words.Sentence(err.Error())}
		}
		ids[i] = id
	}
	p := t.paired(ids[0], ids[1])
	if p == nil {
		return nil, &refusal{http.StatusNotFound, "One of the two entries is not in the record of this job here. It may still be on another tablet."}
	}
	if st := t.snap.Standing(t.subject.Job()); st != nil {
		for _, v := range st.Verdicts.List {
			if v.State == route.InDoubt && p.is(v.Doubtful) {
				p.holds = append(p.holds, v)
			}
		}
	}
	switch no := record.Telling(t.by, p.lines[0], p.lines[1]); no {
	case "":
	case record.DoneAgain:
		for _, l := range p.lines {
			if l.Kind.Is(journal.ChecksBrakes) {
				p.again = l.ID
			}
		}
	case record.OthersWork:
		return nil, &refusal{http.StatusForbidden, fmt.Sprintf("%s %s wrote “%s”, and %s wrote “%s”. If you are one of them, tap your name first.",
			words.Sentence(no.Sentence()), t.snap.Initials(p.lines[0].By), p.lines[0].About, t.snap.Initials(p.lines[1].By), p.lines[1].About)}
	default:
		return nil, &refusal{http.StatusConflict, words.Sentence(no.Sentence())}
	}
	return p, nil
}

// paired finds two entries in the record of the task's job; nil if one of them
// is not in it.
func (t *task) paired(one, other journal.EntryID) *pair {
	p := &pair{lines: [2]*record.Line{t.snap.Within(t.subject, one), t.snap.Within(t.subject, other)}}
	if p.lines[0] == nil || p.lines[1] == nil {
		return nil
	}
	return p
}

// is reports whether two entries are those of the pair.
func (p *pair) is(ids []journal.EntryID) bool {
	return len(ids) == len(p.lines) && slices.Contains(ids, p.lines[0].ID) && slices.Contains(ids, p.lines[1].ID)
}

// query names the pair in the form's address.
func (p *pair) query() url.Values {
	return url.Values{pages.PairName: {p.lines[0].ID.String(), p.lines[1].ID.String()}}
}

// both adds to the entry that was chosen as the first the other one.
func (p *pair) both(v form.Values) form.Values {
	with := maps.Clone(v)
	if with == nil {
		with = form.Values{}
	}
	then := p.lines[1]
	if v.Get(firstName) == then.ID.String() {
		then = p.lines[0]
	}
	with[thenName] = []string{then.ID.String()}
	return with
}

// options are the two as they are told from each other: what was done, by whom,
// when, and on which tablet.
func (p *pair) options(s *live.Snapshot, now time.Time) []form.Option {
	var list []form.Option
	for _, l := range p.lines {
		list = append(list, form.Option{Value: l.ID.String(), Say: words.Capital(pages.Place(l.Subject)) + ": " + l.Says(),
			Note: fmt.Sprintf("%s, %s, on %s", s.Initials(l.By), pages.When(time.Time(l.Clocks.Device), now, s.Shop.Writing()), s.Shop.DeviceName(l.Device))})
	}
	return list
}

// settled leads to the hold points that hung on the order, and has their page
// say how they stand now.
func (t *task) settled(_ *live.Snapshot, about journal.Subject) string {
	return pages.SettledPath(about.Job(), t.pair.holds)
}

// pairPart is what stands above the form of a word on an order.
type pairPart struct {
	Holds []hold
	Two   []pairLine
	Again string // the page on which the check is done again, where no word counts
	Check string // and what it is called
}

// pairLine is one of the two with its page.
type pairLine struct{ Path, Say, Note string }

// part makes what stands around the pair ready to be shown.
func (p *pair) part(s *live.Snapshot, now time.Time) *pairPart {
	out := &pairPart{}
	for _, v := range p.holds {
		out.Holds = append(out.Holds, newHold(v))
	}
	for i, o := range p.options(s, now) {
		l := p.lines[i]
		out.Two = append(out.Two, pairLine{"/entry/" + l.ID.String(), o.Say, o.Note})
		if l.ID == p.again {
			out.Again, out.Check = kindPath(s, l.Kind, l.Subject), titleOf(l.Kind)
		}
	}
	return out
}

// doAgain says that a check has to be done again, instead of a form.
func (w *Writer) doAgain(rw http.ResponseWriter, r *http.Request, t *task) {
	p := &formPage{Title: "Do it again", Place: t.where(), Pair: t.pair.part(t.snap, w.Now())}
	if j := t.snap.Job(t.subject.Job()); j != nil {
		p.Job, p.Plate = j.ID, j.Name()
	}
	w.page(rw, r, http.StatusOK, "again", t.snap, pages.View{Title: p.Title + " · " + p.Place, Data: p})
}
