package readonly

import (
	"cmp"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/route"
	"fettlebook/journal/trace"
	"fettlebook/journal/words"
)

// tracePage is what a term leads to: a picture, and the same as lists.
type tracePage struct {
	Query    string
	Says     []string
	Of       *tracedNode
	Since    *tracedNode
	CloseUps []CloseUp // of the defects of parts that share it, or of the part
	Unshown  int
	Left     []tracedNode
	Right    []tracedVehicle
	Total    string
	More     int // vehicles that are not listed
	Cut      bool
	Choices  []tracedNode
	Picture  *tracePicture
	Life     string // path of the life of the casting that is traced
}

// tracedNode is something that touched something.
type tracedNode struct {
	Name  string
	Label string // what it is, when it was, and with how many it is shared
	Path  string // traces it
	Look  string // its own page
	At    string
	Known []string
	More  int // of what is known
}

// tracedVehicle is a job that shares something.
type tracedVehicle struct {
	Name, Looks, Where, Path, Job string
	OnRoad                        bool
	Parts                         []string
	Via                           []string
	Call                          string
	Tell                          string
	Holds                         []Fact
	Met                           string // how many more rest on it and are met
	HoldsPath                     string // where they are, if they were not asked for
}

// TracePath is the page that traces a thing.
func TracePath(of string) string { return "/trace?q=" + url.QueryEscape(of) }

const (
	knownShown    = 6  // of what is known of one thing
	vehiclesShown = 60 // on a page
)

func (p *Paper) trace(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	d := tracePage{Query: strings.TrimSpace(r.URL.Query().Get("q"))}
	title := "Trace"
	if d.Query != "" {
		t := trace.Of(s, d.Query, trace.Options{Customers: p.Cards != nil, People: p.Desk})
		p.fill(r, &d, t, s)
		title = d.Query + " · trace"
		if t.Of != nil {
			title = t.Of.Name + " · trace"
		}
	}
	p.live(w, r, s, "trace", title, d)
}

func (p *Paper) fill(r *http.Request, d *tracePage, t *trace.Trace, s *live.Snapshot) {
	d.Says, d.Cut = t.Says, t.Cut
	for _, n := range t.Choices {
		d.Choices = append(d.Choices, p.tracedNode(n, s))
	}
	if t.Of == nil {
		return
	}
	of := p.tracedNode(t.Of, s)
	d.Of = &of
	if t.Since != nil {
		since := p.tracedNode(t.Since, s)
		d.Since = &since
	}
	for _, n := range t.Left {
		d.Left = append(d.Left, p.tracedNode(n, s))
	}
	d.Total = s.Shop.Writing().Count(t.Total, "vehicle")
	for i, v := range t.Right {
		if i == vehiclesShown {
			d.More = len(t.Right) - i
			break
		}
		d.Right = append(d.Right, p.tracedVehicle(r, v, s))
	}
	d.Picture = p.drawTrace(t, s.Shop.Writing())
	if t.Life != nil && p.Desk {
		d.Life = CastingPath(cmp.Or(t.Life.Number, string(t.Of.Of)))
	}
	if about := coated(t); len(about) > 0 {
		d.CloseUps, d.Unshown = CloseUps(s, coatsOf(t.Of.Of, s.Parts(), about), "", mostCloseUps)
	}
}

// mostCloseUps is how many photographs of defects stand side by side.
const mostCloseUps = 12

// coatsOf are the coats of some parts, of a lot and of a bake those alone that are
// of it: a part that was stripped has others.
func coatsOf(thing journal.Subject, all *parts.Table, about map[string]bool) *parts.Table {
	all = all.Only(func(row int) bool { return about[all.At(row, parts.Part).String()] })
	has := func(name parts.Name) func(int) bool {
		return func(row int) bool { return all.At(row, name).String() == thing.Last() }
	}
	if thing.Word() == "lot" {
		return all.Only(has(parts.PowderLot))
	}
	if baked := all.Only(has(parts.Bake)); thing.Run() != "" && baked.Len() > 0 {
		return baked
	}
	return all
}

// coated are the parts that a trace is about: the one in the middle, else those
// that share the thing.
func coated(t *trace.Trace) map[string]bool {
	about := make(map[string]bool)
	switch {
	case t.Of.Of.Part() != "":
		about[string(t.Of.Of)] = true
	case t.Of.Of.Job() == "":
		for _, v := range t.Right {
			for _, p := range v.Parts {
				about[string(p)] = true
			}
		}
	}
	return about
}

func (p *Paper) tracedNode(n *trace.Node, s *live.Snapshot) tracedNode {
	out := tracedNode{Name: n.Name, Path: p.tracing(n), Look: p.look(n), Known: n.Known}
	if n.Of.Word() == "person" && p.Desk && p.Cards != nil {
		out.Name = words.Commas(n.Name, s.NameOf(journal.PersonID(n.Of.Last()), p.Cards))
	}
	if more := len(n.Known) - knownShown; more > 0 {
		out.Known, out.More = n.Known[:knownShown], more
	}
	if !n.At.IsZero() {
		out.At = s.Shop.Writing().Moment(n.At)
	}
	what, shares := n.What, ""
	if strings.EqualFold(what, n.Name) { // of an entry, which is called by what it is
		what = ""
	}
	if n.Shares != nil {
		shares = "shared with " + words.Count(*n.Shares, "other vehicle")
	}
	out.Label = words.Commas(what, out.At, shares)
	return out
}

// tracing is the page that traces a node; of an entry and of air, and of somebody
// whose work is traced at the desk only, the entry's.
func (p *Paper) tracing(n *trace.Node) string {
	if n.Of == "" || n.Of.Word() == "entry" || n.Of.Word() == "person" && !p.Desk && len(n.By) > 0 {
		return EntryPath(n.By[0])
	}
	return TracePath(string(n.Of))
}

// look is a node's own page; "" if there is none here.
func (p *Paper) look(n *trace.Node) string {
	switch word := n.Of.Word(); {
	case n.Of.Job() != "":
		return JobPath(n.Of.Job())
	case n.Of.Run() != "":
		return path("run", n.Of.Last())
	case journal.OnShelf(word) && p.Desk:
		return ShelfPath(word, n.Of.Last())
	case len(n.By) > 0:
		return EntryPath(n.By[0])
	}
	return ""
}

func (p *Paper) tracedVehicle(r *http.Request, v *trace.Vehicle, s *live.Snapshot) tracedVehicle {
	out := tracedVehicle{Name: v.Name, Looks: v.Looks, Where: v.Where(s.Shop.Writing()), Path: JobPath(v.Job), Job: string(v.Job), OnRoad: v.OnRoad()}
	for _, part := range v.Parts {
		out.Parts = append(out.Parts, pages.Place(part))
	}
	for _, via := range v.Via {
		out.Via = append(out.Via, pages.Place(via))
	}
	if p.Cards != nil && v.Customer != "" {
		if card, err := p.Cards.Card(r.Context(), v.Customer); err == nil { // erased, or not here: nobody can be named
			out.Call = words.Commas(card.Details.Name, card.Details.Phone, card.Details.Mail)
		}
	}
	if v.Tell > 0 {
		out.Tell = words.Count(v.Tell, "thing") + " to tell the customer"
	}
	met := 0
	for _, h := range v.Holds {
		if h.State == string(route.Met) {
			met++
			continue
		}
		out.Holds = append(out.Holds, Fact{h.Title, h.State})
	}
	if met > 0 {
		out.Met = words.Either(met, "hold point that rests on it is met", "hold points that rest on it are met")
		out.HoldsPath = path("holds", string(v.Job))
	}
	if v.Unasked {
		out.HoldsPath = path("holds", string(v.Job))
	}
	return out
}

// day is a time on a box of the picture.
func day(t time.Time, w words.Writing) string {
	if t.IsZero() {
		return ""
	}
	return w.ThisYear(t)
}
