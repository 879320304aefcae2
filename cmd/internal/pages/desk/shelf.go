package desk

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/paper"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// shelf is everything that the register holds of things.
type shelf struct {
	paper.Foot
	Groups []group
}

// group is the things of one kind, what is past its date first.
type group struct {
	Title, Column string // of the last column but one
	Add, AddSays  string // page that takes another one in
	Hint          string // what to do while there is none
	Rows          []thingRow
}

// thingRow is one thing on the shelf.
type thingRow struct {
	ID, Path, Says string
	Date           date
	Uses           string
}

// date is a day up to which something holds, in words.
type date struct {
	Says string
	Past bool
	rank int // what is past first, then by day, then what has none
}

// until says how a day stands to today.
func until(day journal.Date, now time.Time) date {
	at, err := time.ParseInLocation(time.DateOnly, string(day), now.Location())
	if err != nil {
		return date{Says: "no date", rank: 1 << 40}
	}
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	days := int(at.Sub(today).Round(24*time.Hour) / (24 * time.Hour))
	written := at.Format("2 Jan 2006")
	switch {
	case days < 0:
		return date{Says: fmt.Sprintf("past since %s", written), Past: true, rank: days}
	case days == 0:
		return date{Says: "today is the last day", rank: 0}
	case days == 1:
		return date{Says: "tomorrow is the last day", rank: 1}
	default:
		return date{Says: fmt.Sprintf("%s, in %d days", written, days), rank: days}
	}
}

func (d *Desk) shelf(w http.ResponseWriter, r *http.Request) {
	s := d.Live.Now()
	d.reads(w, r, s, "shelf", "Shelf", shelf{Groups: []group{d.lots(s), d.fluids(s), d.tools(s), d.specs(s)}})
}

// row begins the row of a thing with what it touched.
func (d *Desk) row(s *live.Snapshot, what, id string) thingRow {
	u := d.uses.find(s, journal.Of(what, id))
	uses := "not used yet"
	if n := len(u.Lines); n > 0 {
		uses = pages.Count(n, "use") + ", " + pages.Count(u.Vehicles, "vehicle")
	}
	return thingRow{ID: id, Path: paper.ShelfPath(what, id), Uses: uses, Says: "not on the register yet: entries name it", Date: date{Says: "no date", rank: 1 << 40}}
}

func (g group) sorted() group {
	slices.SortStableFunc(g.Rows, func(a, b thingRow) int { return cmp.Compare(a.Date.rank, b.Date.rank) })
	return g
}

// adding is the page that takes in a thing which has no name yet.
func adding(kind journal.Kind) string {
	return paper.WritePath(kind, journal.Of(kind.Places()[0], "new"))
}

func (d *Desk) lots(s *live.Snapshot) group {
	g := group{Title: "Powder lots", Column: "Use by", Add: adding(journal.PowderReceived), AddSays: "A lot came in", Hint: "Take in the first lot with its data sheet: the bake is held against its schedule."}
	for _, lot := range s.Shop.Lots {
		row := d.row(s, "lot", string(lot.ID))
		if lot.Stated != nil {
			row.Says, row.Date = lot.Stated.Colour+", "+string(lot.Stated.Chemistry), until(lot.Stated.UseBy, d.Now())
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

func (d *Desk) fluids(s *live.Snapshot) group {
	g := group{Title: "Opened brake fluid", Column: "Use by", Add: adding(journal.FluidOpened), AddSays: "A container was opened", Hint: "Write down each container when it is opened: fluid draws water from that day on."}
	for _, f := range s.Shop.Fluids {
		row := d.row(s, "fluid", string(f.ID))
		if f.Stated != nil {
			row.Says, row.Date = string(f.Stated.Grade), until(f.Stated.UseBy, d.Now())
			if opened := opening(f); opened != "" {
				row.Says += ", " + opened
			}
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

// opening says when a container was opened.
func opening(f *record.Fluid) string {
	for _, l := range slices.Backward(f.Lines) {
		if _, ok := l.Effect().(*journal.FluidContainer); ok {
			return "opened " + time.Time(l.Clocks.Device).Format("2 Jan 2006")
		}
	}
	return ""
}

func (d *Desk) tools(s *live.Snapshot) group {
	g := group{Title: "Tools and gauges", Column: "Next check", Add: adding(journal.ToolRegistered), AddSays: "A tool is in use", Hint: "Register torque tools, gauges, probes and ovens, each with its last check."}
	for _, t := range s.Shop.Tools {
		row := d.row(s, "tool", string(t.ID))
		if t.Stated != nil {
			row.Says = string(t.Stated.What)
		}
		check, at := lastCheck(t)
		switch {
		case check == nil:
			row.Date.Says = "never checked"
		case check.Result == "out of tolerance" || check.Result == "broken":
			row.Date = date{Says: fmt.Sprintf("%s at its check of %s: do not use it", check.Result, time.Time(at.Clocks.Device).Format("2 Jan 2006")), Past: true, rank: -1 << 40}
		default:
			row.Date = until(check.Due, d.Now())
			row.Date.count(d.since(s, t, at), check.Cycles)
		}
		g.Rows = append(g.Rows, row)
	}
	return g.sorted()
}

// count adds how much of the uses between two checks is gone.
func (t *date) count(used, most int) {
	if most == 0 {
		return
	}
	t.Says += fmt.Sprintf("; %d of %d uses since its check", used, most)
	if used >= most && !t.Past {
		t.Past, t.rank = true, -1
	}
}

// lastCheck is the check of a tool that counts.
func lastCheck(t *record.Tool) (*journal.ToolCheck, *record.Line) {
	for _, l := range slices.Backward(t.Lines) {
		if c, ok := l.Effect().(*journal.ToolCheck); ok {
			return c, l
		}
	}
	return nil, nil
}

// since counts the uses of a tool after one of its checks.
func (d *Desk) since(s *live.Snapshot, t *record.Tool, check *record.Line) int {
	n := 0
	for _, l := range d.uses.find(s, journal.Of("tool", string(t.ID))).Lines {
		if cmp.Compare(l.ID.String(), check.ID.String()) > 0 {
			n++
		}
	}
	return n
}

func (d *Desk) specs(s *live.Snapshot) group {
	g := group{Title: "Figures for joints", Column: "Where it is printed", Add: adding(journal.SpecRecorded), AddSays: "Record a figure", Hint: "Record the maker’s figure of each joint with the page on which it is printed."}
	for _, f := range s.Shop.Specs {
		row := d.row(s, "spec", string(f.ID))
		if f.Stated != nil {
			row.Says = f.Stated.Joint + ", " + f.Stated.Nominal.String()
			row.Date.Says = string(f.Stated.From)
			if f.Stated.Page != "" {
				row.Date.Says += ", page " + f.Stated.Page
			}
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}
