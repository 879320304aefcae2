package paper

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// searchPage is what a search found.
type searchPage struct {
	Foot
	Query  string
	Found  []hit
	Cut    bool // there was more
	Failed string
}

// hit is one thing that fits.
type hit struct {
	By     string // what fitted
	Name   string
	Says   string
	Path   string
	Others []Link // its jobs
}

// mostHits is how many finds a page shows: more say that too little was typed.
const mostHits = 100

// search looks in the folded shop, and for names on the customer cards, which
// are read one page of cards after another: their number is the cost.
func (p *Paper) search(w http.ResponseWriter, r *http.Request) {
	s := p.Live.Now()
	d := searchPage{Query: strings.TrimSpace(r.URL.Query().Get("q"))}
	if d.Query != "" {
		for _, m := range s.Shop.Find(d.Query) {
			d.add(p.matched(m))
		}
		for _, m := range s.Shop.FindPieces(d.Query) {
			d.add(p.matched(m))
		}
		p.findThings(&d, s.Shop)
		if err := p.findCustomers(r, &d, s.Shop); err != nil {
			p.Logger.WarnContext(r.Context(), "search customer cards", "error", err)
			d.Failed = "Customers’ names could not be searched just now; the log on this machine says why."
		}
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

// add takes a find in once.
func (d *searchPage) add(h hit) {
	if !slices.ContainsFunc(d.Found, func(o hit) bool { return o.Path == h.Path && o.By == h.By && o.Name == h.Name && o.Says == h.Says }) {
		d.Found = append(d.Found, h)
	}
}

func (p *Paper) matched(m record.Match) hit {
	switch {
	case m.Part != nil:
		says := fmt.Sprintf("%s in job %s", pages.Place(m.Part.Subject), m.Job.ID)
		if m.Lot != nil {
			says += ", powder lot " + string(m.Lot.ID)
		}
		return hit{By: m.By, Name: m.Job.Name(), Says: says, Path: JobPath(m.Job.ID)}
	case m.Run != nil:
		return hit{By: m.By, Name: "run " + string(m.Run.ID), Says: fmt.Sprintf("%s with lot %s, %s of %s", strings.Join(m.Run.What, " and "), m.Lot.ID,
			words.Count(len(m.Run.Parts), "part"), words.Count(len(m.Run.Jobs), "job")), Path: path("run", string(m.Run.ID))}
	case m.Lot != nil:
		h := hit{By: m.By, Name: "powder lot " + string(m.Lot.ID), Says: "not received here yet"}
		if m.Lot.Stated != nil {
			h.Says = m.Lot.Stated.Colour + ", " + string(m.Lot.Stated.Chemistry)
		}
		if p.Desk {
			h.Path = ShelfPath("lot", string(m.Lot.ID))
		}
		return h
	case m.Job != nil:
		return hit{By: m.By, Name: m.Job.Name(), Says: fmt.Sprintf("job %s, %s", m.Job.ID, m.Job.State), Path: JobPath(m.Job.ID)}
	default:
		return p.vehicleHit(m.Vehicle, m.By)
	}
}

// vehicleHit names a vehicle. Where the set has no page for it, its newest job
// stands for it.
func (p *Paper) vehicleHit(v *record.Vehicle, by string) hit {
	h := hit{By: by, Name: Name(v), Says: strings.Join(v.Looks, ", "), Path: JobPath(v.Jobs[len(v.Jobs)-1].ID)}
	if p.Desk {
		h.Path = VehiclePath(v.Key)
	}
	for _, j := range v.Jobs {
		h.Others = append(h.Others, Link{fmt.Sprintf("job %s, %s", j.ID, j.State), JobPath(j.ID)})
	}
	return h
}

// findThings looks for tools, fluids and figures by name.
func (p *Paper) findThings(d *searchPage, shop *record.Shop) {
	want := words.Squash(d.Query)
	thing := func(what, id, says string) {
		if !strings.HasPrefix(words.Squash(id), want) {
			return
		}
		h := hit{By: what, Name: id, Says: says}
		if p.Desk {
			h.Path = ShelfPath(what, id)
		}
		d.add(h)
	}
	for _, t := range shop.Tools {
		thing("tool", string(t.ID), stated(t.Stated, func(t *journal.Tool) string { return string(t.What) }))
	}
	for _, f := range shop.Fluids {
		thing("fluid", string(f.ID), stated(f.Stated, func(f *journal.FluidContainer) string { return string(f.Grade) }))
	}
	for _, f := range shop.Specs {
		thing("spec", string(f.ID), stated(f.Stated, func(f *journal.TorqueSpec) string { return f.Joint + ", " + f.Nominal.String() }))
	}
}

func stated[P any](p *P, say func(*P) string) string {
	if p == nil {
		return "not on the register yet"
	}
	return say(p)
}

// shortestName is the fewest letters of a customer's name that are looked for.
const shortestName = 2

func (p *Paper) findCustomers(r *http.Request, d *searchPage, shop *record.Shop) error {
	want := strings.ToLower(d.Query)
	if p.Cards == nil || len([]rune(want)) < shortestName {
		return nil
	}
	named := make(map[journal.CardID]string)
	for rev := int64(-1); ; {
		list, err := p.Cards.CardsSince(r.Context(), rev)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			break
		}
		for _, c := range list {
			rev = c.Rev
			if !c.Erased && strings.Contains(strings.ToLower(c.Card.Details.Name), want) {
				named[c.Card.Card] = c.Card.Details.Name
			}
		}
	}
	for _, v := range shop.Vehicles {
		for _, j := range v.Jobs {
			if j.Customer == nil || named[j.Customer.Card] == "" {
				continue
			}
			h := p.vehicleHit(v, "customer")
			h.Says = strings.TrimPrefix(named[j.Customer.Card]+", "+h.Says, ", ")
			d.add(h)
		}
	}
	return nil
}
