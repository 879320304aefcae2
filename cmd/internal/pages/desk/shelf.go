package desk

import (
	"cmp"
	"fmt"
	"math"
	"net/http"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// shelf is everything that the register holds of things.
type shelf struct {
	Groups []group
	Units  units
	Writes writes
}

// writes is how the shop writes, with the page that changes it.
type writes struct{ Say, Change string }

func newWrites(s *live.Snapshot) writes {
	return writes{words.Sentence(journal.NewWriting(s.Shop.Writing(), s.Shop.Naming).Say()), readonly.WritePath(journal.WritingChosen, journal.Of("shop", string(s.Shop.ID)))}
}

// units is in which units the shop works, with the pages that change it.
type units struct {
	Say     string
	Change  string // each by itself
	Systems []system
}

type system struct{ Name, Path string }

func newUnits(s *live.Snapshot) units {
	about := journal.Of("shop", string(s.Shop.ID))
	u := units{Say: words.Sentence((&journal.Units{Units: s.Shop.Units}).Say()), Change: readonly.WritePath(journal.UnitsChosen, about)}
	for _, name := range []string{unit.MetricName, unit.USCustomaryName} {
		is, _ := unit.Named(name)
		if is != s.Shop.Units.Written(words.Writing{}) {
			u.Systems = append(u.Systems, system{name, readonly.WritePath(journal.UnitsChosen, about, form.UnitsAs(is)...)})
		}
	}
	return u
}

// group is the things of one kind, what is past its date first.
type group struct {
	Title, Column string // of the last column but one
	Add, AddSays  string // page that takes another one in
	Hint          string // what to do while there is none
	More          int    // things beyond those listed
	Rows          []thingRow
}

// thingRow is one thing on the shelf.
type thingRow struct {
	ID, Path, Says string
	Date           date
	Uses           string

	thing journal.Subject
}

// date is a day up to which something holds, in words.
type date struct {
	Says string
	Past bool
	rank int // what is past first, then by day, then what has none
}

// The ranks of what is no day: found bad comes before all that is only past, and what has no
// day behind all that has one.
const (
	foundBad = math.MinInt32
	undated  = math.MaxInt32
)

// until says in words how a last day stands.
func until(d facts.Due, w words.Writing) date {
	written := w.Day(d.On)
	switch {
	case d.IsZero():
		return date{Says: "no date", rank: undated}
	case d.Past():
		return date{Says: "past since " + written, Past: true, rank: d.Days}
	case d.Days == 0:
		return date{Says: "today is the last day", rank: 0}
	case d.Days == 1:
		return date{Says: "tomorrow is the last day", rank: 1}
	default:
		return date{Says: fmt.Sprintf("%s, in %d days", written, d.Days), rank: d.Days}
	}
}

func (d *Desk) shelf(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var groups []group
	for _, g := range []group{d.lots(s), d.fluids(s), d.kits(s), d.tools(s), d.specs(s)} {
		g.More = max(0, len(g.Rows)-rowsShown)
		g.Rows = g.Rows[:len(g.Rows)-g.More]
		for i := range g.Rows {
			row := &g.Rows[i]
			row.Uses = s.UsedLately(row.thing)
		}
		groups = append(groups, g)
	}
	d.reads(w, r, s, "shelf", "Shelf", shelf{Groups: groups, Units: newUnits(s), Writes: newWrites(s)})
}

// rowsShown is how many things of a kind the shelf lists; others are searched
// for by their names.
const rowsShown = 100

// row begins the row of a thing with what it touched.
func (d *Desk) row(s *live.Snapshot, what, id string) thingRow {
	return thingRow{ID: id, Path: readonly.ShelfPath(what, id), thing: journal.Of(what, id), Says: "not on the register yet: entries name it", Date: date{Says: "no date", rank: undated}}
}

func (g group) sorted() group {
	slices.SortStableFunc(g.Rows, func(a, b thingRow) int { return cmp.Compare(a.Date.rank, b.Date.rank) })
	return g
}

// adding is the page that takes in a thing which has no name yet.
func adding(kind journal.Kind) string {
	return readonly.WritePath(kind, journal.Of(kind.Places()[0], journal.Unnamed))
}

func (d *Desk) lots(s *live.Snapshot) group {
	g := group{Title: "Powder lots", Column: "Use by", Add: adding(journal.PowderReceived), AddSays: "A lot came in", Hint: "Take in the first lot with its data sheet: the bake is held against its schedule."}
	for _, lot := range s.Shop.Lots {
		row := d.row(s, "lot", string(lot.ID))
		if is := s.Stock().LotAt(lot.ID, d.Now()); is.Stated != nil {
			row.Says, row.Date = is.Stated.Colour+", "+string(is.Stated.Chemistry), until(is.Due, s.Shop.Writing())
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

func (d *Desk) fluids(s *live.Snapshot) group {
	g := group{Title: "Opened brake fluid", Column: "Use by", Add: adding(journal.FluidOpened), AddSays: "A container was opened", Hint: "Write down each container when it is opened: fluid draws water from that day on."}
	for _, f := range s.Shop.Fluids {
		row := d.row(s, "fluid", string(f.ID))
		if is := s.Stock().FluidAt(f.ID, d.Now()); is.Stated != nil {
			row.Says, row.Date = fmt.Sprintf("%s, opened %s", is.Stated.Grade, day(is.Opened)), until(is.Due, s.Shop.Writing())
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

func (d *Desk) kits(s *live.Snapshot) group {
	g := group{Title: "Kits of parts", Column: "Use by", Add: adding(journal.KitReceived), AddSays: "A kit came in", Hint: "Write down each kit with its batch when it comes in: then every vehicle is found that got parts of a bad one."}
	for _, k := range s.Shop.Kits {
		row := d.row(s, "kit", string(k.ID))
		if is, due := s.Stock().KitAt(k.ID, d.Now()); is != nil {
			row.Says, row.Date = words.Commas(is.Maker, words.Fill("number %s", is.Number), words.Fill("batch %s", is.Batch)), until(due, s.Shop.Writing())
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

// day is the day on which a line was written.
func day(l *record.Line) string { return l.Writing().Day(time.Time(l.Clocks.Device)) }

func (d *Desk) tools(s *live.Snapshot) group {
	g := group{Title: "Tools and gauges", Column: "Next check", Add: adding(journal.ToolRegistered), AddSays: "A tool is in use", Hint: "Register torque tools, gauges, probes and ovens, each with its last check."}
	for _, t := range s.Shop.Tools {
		row := d.row(s, "tool", string(t.ID))
		is := s.Stock().ToolNow(t.ID, d.Now())
		if is.Stated != nil {
			row.Says = string(is.Stated.What)
		}
		row.Date = checked(is, s.Shop.Writing())
		if of := s.Stock().ServicedNow(t.ID, d.Now()); is.Check == nil && of.Kind != "" {
			row.Date = serviced(of, s.Shop.Writing())
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

// checked says up to when the last check of a tool holds.
func checked(t facts.ToolState, w words.Writing) date {
	switch {
	case t.Check == nil:
		return date{Says: "never checked", rank: undated}
	case t.Doubt == facts.NotRegistered:
		return date{Says: "checked, but not on the register", rank: undated}
	case t.Doubt == facts.FoundBad:
		return date{Says: fmt.Sprintf("%s at its check of %s: do not use it", t.Result, day(t.Checked)), Past: true, rank: foundBad}
	}
	d := until(t.Due, w)
	if most := t.Check.Cycles; most > 0 {
		d.Says += "; " + words.Of(t.Uses, most, "use") + " since its check"
	}
	if t.Doubt != facts.NoDoubt && !d.Past {
		d.Past, d.rank = true, -1
	}
	return d
}

// serviced says up to when the last service of a machine holds.
func serviced(t facts.ServiceState, w words.Writing) date {
	switch {
	case t.Done == nil:
		return date{Says: fmt.Sprintf("“%s” is not on record", t.Kind), rank: undated}
	case t.Changed:
		return date{Says: "repaired since its survey", Past: true, rank: -1}
	}
	due := until(t.Due, w)
	due.Says = fmt.Sprintf("%s on %s; due: %s", t.Kind, t.On.Said(w), due.Says)
	return due
}

func (d *Desk) specs(s *live.Snapshot) group {
	g := group{Title: "Figures for joints", Column: "Where it is printed", Add: adding(journal.SpecRecorded), AddSays: "Record a figure", Hint: "Record the maker’s figure of each joint with the page on which it is printed."}
	for _, f := range s.Shop.Specs {
		row := d.row(s, "spec", string(f.ID))
		if f.Stated != nil {
			row.Says = words.Commas(f.Stated.Joint, f.Stated.In(s.Shop.Units), words.Fill("for %s", f.Stated.Vehicles()))
			row.Date.Says = string(f.Stated.From)
			if f.Stated.Page != "" {
				row.Date.Says += ", page " + f.Stated.Page
			}
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}
