package readonly

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// Verdict is how one hold point stands, with all that it rests on.
type Verdict struct {
	route.Verdict
	ID         string
	Stamp      pages.Stamp
	Place      string
	Why        []pages.Bit
	Entries    []Link
	Undone     *Link
	Doubtful   []Link // the two whose order is not known
	Order      *pages.Order
	WaivedBy   string
	Waive      string      // path of the page that waives it; empty if it cannot be
	Ways       []pages.Way // to where what it lacks can be given
	StageTitle string
}

// Must reports that the hold point can only be met.
func (v Verdict) Must() bool { return v.Class == card.Safety && v.State != route.Met }

// NewVerdict makes a hold point ready to be shown.
func NewVerdict(v route.Verdict, pinned *card.Card, snap *live.Snapshot) Verdict {
	d := Verdict{Verdict: v, ID: pages.HoldAnchor(v), Place: words.Capital(pages.Place(v.Subject)), Stamp: stamp(v, snap), Why: pages.Bits(words.Capital(v.Why)), Order: pages.OrderOf(v)}
	if v.Waiver == nil {
		d.Figures = nil // the sentence says them
	}
	for _, id := range v.Entries {
		d.Entries = append(d.Entries, CiteEntry(id, snap))
	}
	if !v.Undone.IsZero() {
		by := CiteEntry(v.Undone, snap)
		d.Undone = &by
	}
	for _, id := range v.Doubtful {
		d.Doubtful = append(d.Doubtful, CiteEntry(id, snap))
	}
	if v.Waiver != nil {
		by := CiteEntry(v.Waiver.At, snap)
		d.Entries = append(d.Entries, by)
		d.WaivedBy = snap.Initials(v.Waiver.By)
	}
	if pinned != nil && pinned.Stage(v.Stage) != nil {
		d.StageTitle = pinned.Stage(v.Stage).Title
		for _, w := range v.Ways(pinned) {
			d.Ways = append(d.Ways, pages.WayOf(w))
		}
		if v.Class == card.Quality && (v.State == route.Open || v.State == route.Broken) {
			d.Waive = WritePath(journal.HoldWaived, v.Subject, "hold", string(v.Hold))
		}
	}
	return d
}

// stamp is pressed by who wrote the last entry that the hold point rests on.
func stamp(v route.Verdict, snap *live.Snapshot) pages.Stamp {
	st := pages.Stamp{State: v.State, Seed: string(v.Hold) + string(v.Subject)}
	last := journal.EntryID{}
	if n := len(v.Entries); n > 0 {
		last = v.Entries[n-1]
	}
	if v.Waiver != nil {
		last = v.Waiver.At
	}
	for _, l := range snap.Cited(last) {
		st.Initials, st.Time = snap.Initials(l.By), words.Clock(time.Time(l.Clocks.Device))
	}
	return st
}

// holdsPage is every hold point of a job.
type holdsPage struct {
	*live.Standing
	Plate, Looks string
	Tally        route.Tally
	States       []Choice
	Settled      []Verdict // that hung on an order which was just stated
	Forbids      []Verdict // safety holds that are not met
	Stages       []heldStage
	Aside        []aside
	Sources      string // explains where limits come from
}

// aside is a part that does not go back, with where that was decided.
type aside struct{ Place, Say, Path string }

type heldStage struct {
	Title string
	Holds []Verdict
}

func (p *Paper) holds(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	st := s.Standing(journal.JobID(r.PathValue("job")))
	if st == nil {
		p.Missing(w, r, "There is no job "+r.PathValue("job")+" on this machine. It may still be on a tablet that cannot be reached.")
		return
	}
	d := holdsPage{Sources: card.Sources, Standing: st, Plate: st.Job.Name(), Looks: st.Job.Looks(), Tally: st.Verdicts.Tally()}
	for _, a := range st.Verdicts.Aside {
		d.Aside = append(d.Aside, aside{Place: pages.Place(a.Subject), Say: a.Say, Path: "/entry/" + a.Entry.String()})
	}
	wanted := route.State(r.URL.Query().Get("state"))
	base := path("holds", string(st.Job.ID))
	d.States = []Choice{{Link{"all", base}, wanted == ""}}
	for _, state := range []route.State{route.Broken, route.InDoubt, route.Open, route.Waived, route.Met} {
		d.States = append(d.States, Choice{Link{string(state), base + "?state=" + string(state)}, wanted == state})
	}
	for _, v := range st.Verdicts.Unmet() {
		d.Forbids = append(d.Forbids, NewVerdict(v, st.Card, s))
	}
	settled := r.URL.Query()[pages.SettledName]
	for _, v := range st.Verdicts.List {
		if slices.Contains(settled, pages.HoldAnchor(v)) {
			d.Settled = append(d.Settled, NewVerdict(v, st.Card, s))
		}
		if wanted != "" && v.State != wanted {
			continue
		}
		one := NewVerdict(v, st.Card, s)
		title := strings.TrimSpace(one.StageTitle)
		if title == "" {
			title = "The route card"
		}
		if len(d.Stages) == 0 || d.Stages[len(d.Stages)-1].Title != title {
			d.Stages = append(d.Stages, heldStage{Title: title})
		}
		last := &d.Stages[len(d.Stages)-1]
		last.Holds = append(last.Holds, one)
	}
	p.live(w, r, s, "holds", d.Plate+" · hold points", d)
}
