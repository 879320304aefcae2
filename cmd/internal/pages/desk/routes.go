package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// routesPage is the shop's route cards.
type routesPage struct {
	Published []editions
	Supplied  []cardRow // that come with the program
}

// editions are the published editions of one card, the newest first.
type editions struct {
	Name journal.RouteID
	Rows []cardRow
	Edit string
}

// cardRow is a card in a list.
type cardRow struct {
	Path, Edit     string
	Name           journal.RouteID
	Edition        int
	Title, Says    string
	Since, By, Bad string
}

func routePath(name journal.RouteID, edition int) string {
	return "/routes/" + url.PathEscape(string(name)) + "?edition=" + strconv.Itoa(edition)
}

func editPath(name journal.RouteID) string {
	return "/routes/" + url.PathEscape(string(name)) + "/edit"
}

// editing leads to the page that writes a card. What it is written because of
// goes along with the question of the page that leads there.
func editing(r *http.Request, name journal.RouteID, supplied bool) string {
	q := url.Values{}
	if because := r.URL.Query().Get("because"); because != "" {
		q.Set("because", because)
	}
	if supplied {
		q.Set("supplied", "yes")
	}
	return withQuery(editPath(name), q)
}

func (d *Desk) routes(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var p routesPage
	for _, one := range s.Shop.Routes {
		e := editions{Name: one.ID, Edit: editing(r, one.ID, false)}
		for _, l := range published(one) {
			c := l.Effect().(*journal.RouteCard) // published keeps no others
			row := newCardRow(c.Text)
			row.Path, row.Name, row.Edition = routePath(c.Route, c.Edition), c.Route, c.Edition
			row.Since, row.By = l.Writing().Day(time.Time(l.Clocks.Device)), s.Shop.Initials(l.By)
			e.Rows = append(e.Rows, row)
		}
		p.Published = append(p.Published, e)
	}
	for _, name := range card.SuppliedNames() {
		text, err := card.Supplied(name)
		if err != nil {
			d.Logger.ErrorContext(r.Context(), "read a card that comes with the program", "card", name, "error", err)
			continue
		}
		row := newCardRow(text)
		row.Name, row.Edit = name, editing(r, name, true)
		p.Supplied = append(p.Supplied, row)
	}
	d.reads(w, r, s, "routes", "Route cards", p)
}

// published lists the entries that published editions of a card, the newest
// edition first; of one edition only the first counts.
func published(one *record.Route) []*record.Line {
	var list []*record.Line
	seen := make(map[int]bool)
	for _, l := range one.Lines {
		if c, ok := l.Effect().(*journal.RouteCard); ok && !seen[c.Edition] {
			seen[c.Edition] = true
			list = append(list, l)
		}
	}
	slices.SortFunc(list, func(a, b *record.Line) int {
		return b.Effect().(*journal.RouteCard).Edition - a.Effect().(*journal.RouteCard).Edition
	})
	return list
}

// newCardRow sums a card up. One that this version cannot read is listed too.
func newCardRow(text string) cardRow {
	read, err := card.ParseHeld(text)
	if err != nil {
		return cardRow{Title: "a card that this version cannot read", Bad: err.Error()}
	}
	holds := 0
	for _, stage := range read.Stages {
		holds += len(stage.Holds)
	}
	return cardRow{Name: read.Name, Edition: read.Edition, Title: read.Title, Says: words.Count(len(read.Stages), "stage") + ", " + words.Count(holds, "hold point")}
}

// routePage is one edition of a card as a table.
type routePage struct {
	Name      journal.RouteID
	Edition   int
	Card      *card.Card // nil if this version cannot read it
	Bad, Text string
	Since, By string
	Because   *readonly.Link // the investigation that the edition came out of
	Edit      string
	Others    []readonly.Choice
	Limits    []readonly.Fact
	FollowUps []readonly.Fact
	Stages    []stageView
	Default   bool // a source in it is the shop's default
}

// stageView is a stage of a card in words.
type stageView struct {
	*card.Stage
	Holds          []card.Hold // with the figures in their texts, as are the cautions
	Cautions       []string
	For, After     string
	Asked, Allowed []string // kinds of entry, in words
}

func (d *Desk) route(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	name := journal.RouteID(r.PathValue("name"))
	edition, _ := strconv.Atoi(r.URL.Query().Get("edition")) // none or nonsense: the newest
	for _, one := range s.Shop.Routes {
		if one.ID != name {
			continue
		}
		p := routePage{Name: name, Edit: editPath(name)}
		for _, l := range published(one) {
			c := l.Effect().(*journal.RouteCard)
			on := p.Text == "" && (edition == 0 || edition == c.Edition)
			if on {
				p.Edition, p.Text, p.Since, p.By = c.Edition, c.Text, l.Writing().Moment(time.Time(l.Clocks.Device)), s.Shop.Initials(l.By)
			}
			if i := s.Investigation(c.Because); on && !c.Because.IsZero() && i != nil && i.Investigation != nil {
				p.Because = &readonly.Link{Say: words.Capital(i.Matter), Path: readonly.InvestigationPath(c.Because)}
			}
			p.Others = append(p.Others, readonly.Choice{Link: readonly.Link{Say: fmt.Sprintf("edition %d", c.Edition), Path: routePath(name, c.Edition)}, On: on})
		}
		if p.Text == "" {
			break
		}
		p.read(s.Shop.Units)
		d.reads(w, r, s, "route", string(name)+" · route card", p)
		return
	}
	d.missing(w, r, fmt.Sprintf("No edition of a route card %s that matches was published here; look at the list of route cards.", name))
}

// read lays the card out, with its figures in the units of the shop.
func (p *routePage) read(in unit.System) {
	read, err := card.ParseHeld(p.Text)
	if err != nil {
		p.Bad = words.Sentence(err.Error())
		return
	}
	p.Card = read
	say := func(text string) string { return read.Say(text, in) }
	for name, l := range read.Limits {
		p.Default = p.Default || card.ByDefault(l.Source)
		p.Limits = append(p.Limits, readonly.Fact{Name: strings.ReplaceAll(name, "_", " "), Says: say("{"+name+"}") + " — " + l.Source})
	}
	slices.SortFunc(p.Limits, func(a, b readonly.Fact) int { return strings.Compare(a.Name, b.Name) })
	for _, f := range read.FollowUps {
		p.Default = p.Default || card.ByDefault(f.Source)
		p.FollowUps = append(p.FollowUps, readonly.Fact{Name: f.Title, Says: words.Commas("after "+words.Count(f.Hours, "hour"), words.If(f.KilometresTo > 0,
			say(fmt.Sprintf("between {%d km} and {%d km}", f.KilometresFrom, f.KilometresTo)))) + "; " + say(f.Source)})
	}
	for i := range read.Stages {
		stage := &read.Stages[i]
		v := stageView{Stage: stage, For: "the vehicle", Asked: abouts(stage.Wants), Allowed: abouts(stage.May), Holds: slices.Clone(stage.Holds)}
		for i := range v.Holds {
			h := &v.Holds[i]
			p.Default = p.Default || card.ByDefault(h.Source)
			h.Limit, h.Source, h.Reason = say(h.Limit), say(h.Source), say(h.Reason)
		}
		for _, caution := range stage.Cautions {
			v.Cautions = append(v.Cautions, say(caution))
		}
		switch stage.Level {
		case card.OnCorner:
			v.For = "each corner"
		case card.OnPart:
			v.For = "each part"
			if len(stage.Parts) > 0 {
				v.For = "each " + strings.Join(stage.Parts, " and ")
			}
		}
		if stage.After != nil {
			v.After = "waits for none"
			if len(*stage.After) > 0 {
				v.After = "after " + strings.Join(*stage.After, ", ")
			}
		}
		p.Stages = append(p.Stages, v)
	}
}

func abouts(kinds []journal.Kind) []string {
	var list []string
	for _, k := range kinds {
		list = append(list, k.About())
	}
	return list
}
