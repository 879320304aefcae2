package readonly

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// searchPage is what a search found.
type searchPage struct {
	Query string
	Near  []hit // nothing is so named, and these are one slip away
	Found []hit
	Cut   bool // there was more
}

// hit is one thing that fits.
type hit struct {
	By     string // what fitted
	Is     string // how what is near is written
	Name   string
	Says   string
	Path   string
	Others []Link // its jobs
}

// mostHits is how many finds a page shows: more say that too little was typed.
const mostHits = 100

// search looks for what somebody may hold, as a trace does, and for the words of
// entries in any case: a tool's name stands in them too.
func (p *Paper) search(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	d := searchPage{Query: strings.TrimSpace(r.URL.Query().Get("q"))}
	if d.Query != "" {
		l := s.Look(d.Query, p.Cards != nil, mostHits+1)
		d.Near = p.hits(r, l.Near, s)
		d.Found = p.hits(r, slices.Concat(l.Found, l.Said), s)
	}
	if d.Cut = len(d.Found) > mostHits; d.Cut {
		d.Found = d.Found[:mostHits]
	}
	title := "Search"
	if d.Query != "" {
		title = d.Query + " · search"
	}
	p.live(w, r, s, "found", title, d)
}

// hits are matches as the page shows them, each once.
func (p *Paper) hits(r *http.Request, found []shop.Match, s *live.Snapshot) (list []hit) {
	for _, m := range found {
		h, ok := p.matched(r, m, s)
		if ok && !slices.ContainsFunc(list, h.same) {
			h.Is = m.Is
			list = append(list, h)
		}
	}
	return list
}

func (h hit) same(o hit) bool {
	return o.Path == h.Path && o.By == h.By && o.Name == h.Name && o.Says == h.Says
}

func (p *Paper) matched(r *http.Request, m shop.Match, s *live.Snapshot) (hit, bool) {
	word, name, _ := strings.Cut(string(m.Home), "/")
	switch {
	case m.Line != nil:
		return hit{By: "words", Name: words.Capital(pages.Place(m.Line.Subject)), Says: m.Line.Says(), Path: EntryPath(m.Line.ID)}, true
	case m.Part != nil:
		h := hit{By: m.By, Name: m.Job.Name(), Says: fmt.Sprintf("%s in job %s", pages.Place(m.Part.Part), m.Job.Job), Path: JobPath(m.Job.Job)}
		if p.Desk {
			h.Others = []Link{{"Its job", h.Path}, {"Life of the casting", CastingPath(string(m.Part.Part))}}
		}
		return h, true
	case m.Job != nil && (m.By == "job" || m.By == "day"):
		return hit{By: m.By, Name: m.Job.Name(), Says: fmt.Sprintf("job %s, %s", m.Job.Job, m.Job.State), Path: JobPath(m.Job.Job)}, true
	case m.Job != nil:
		return p.vehicleHit(r, m, s), true
	case word == "run":
		h := hit{By: m.By, Name: "run " + name, Path: path("run", name)}
		if run := s.Run(journal.RunID(name)); run != nil {
			h.Says = fmt.Sprintf("%s, %s of %s", strings.Join(run.What, " and "), words.Count(len(run.Parts), "part"), words.Count(len(run.Jobs), "job"))
		}
		return h, true
	}
	if word == "person" { // found only where cards may be looked at
		return hit{By: m.By, Name: words.Commas(s.Shop.Initials(journal.PersonID(name)), s.NameOf(journal.PersonID(name), p.Cards)), Path: TracePath(string(m.Home))}, true
	}
	h, ok := p.thing(word, name, s)
	h.By = cmp.Or(m.By, h.By)
	return h, ok
}

// vehicleHit names a vehicle. Where the set has no page for it, its newest job
// stands for it.
func (p *Paper) vehicleHit(r *http.Request, m shop.Match, s *live.Snapshot) hit {
	h := hit{By: m.By, Name: m.Job.Name(), Says: m.Job.Looks, Path: JobPath(m.Job.Job)}
	if j := s.Job(m.Job.Job); j != nil && j.Vehicle != nil {
		h.Name, h.Says = Name(j.Vehicle), words.Commas(j.Vehicle.Looks...)
		h.Path = JobPath(j.Vehicle.Jobs[len(j.Vehicle.Jobs)-1].ID)
		if p.Desk {
			h.Path = VehiclePath(j.Vehicle.Key)
		}
		for _, other := range j.Vehicle.Jobs {
			state := other.State
			if of, ok := s.Summary(other.ID); ok {
				state = of.State
			}
			h.Others = append(h.Others, Link{fmt.Sprintf("job %s, %s", other.ID, state), JobPath(other.ID)})
		}
	}
	if m.By == "customer" {
		if card, err := p.Cards.Card(r.Context(), m.Job.Customer); err == nil {
			h.Says = words.Commas(card.Details.Name, h.Says)
		}
	}
	return h
}

// thing names a thing of the register.
func (p *Paper) thing(word, name string, s *live.Snapshot) (hit, bool) {
	h := hit{By: word, Name: name}
	switch word {
	case "lot":
		h.Name = "powder lot " + name
		h.Says = said(s.Shop.Lots, name, "not received here yet", func(l *journal.PowderLot) string { return l.Colour + ", " + string(l.Chemistry) })
	case "tool":
		h.Says = said(s.Shop.Tools, name, unregistered, func(t *journal.Tool) string { return string(t.What) })
	case "fluid":
		h.Says = said(s.Shop.Fluids, name, unregistered, func(f *journal.FluidContainer) string { return string(f.Grade) })
	case "kit":
		h.Says = said(s.Shop.Kits, name, unregistered, func(k *journal.Kit) string { return words.Commas(k.Maker, k.Number, k.Batch) })
	case "spec":
		h.Says = said(s.Shop.Specs, name, unregistered, func(f *journal.TorqueSpec) string { return f.Joint + ", " + f.In(s.Shop.Units) })
	default:
		return h, false
	}
	if p.Desk {
		h.Path = ShelfPath(word, name)
	}
	return h, true
}

const unregistered = "not on the register yet"

// said is what the register says of a thing.
func said[ID ~string, P any](list []*record.Registered[ID, P], name, unknown string, say func(*P) string) string {
	for _, t := range list {
		if string(t.ID) == name && t.Stated != nil {
			return say(t.Stated)
		}
	}
	return unknown
}
