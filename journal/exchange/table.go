package exchange

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// Table writes one row per part, and a column per statement about the part,
// its corner and the vehicle.
func (s *Source) Table(ctx context.Context, w io.Writer) error {
	t := s.table()
	head := make([]string, len(t.columns))
	for i, c := range t.columns {
		head[i] = c.header()
	}
	rows := [][]string{head}
	for _, cells := range t.rows {
		row := make([]string, len(t.columns))
		for i, text := range cells {
			row[i] = text
		}
		rows = append(rows, row)
	}
	return sheet(ctx, w, rows)
}

// Dictionary writes what each column of the table is.
func (s *Source) Dictionary(ctx context.Context, w io.Writer) error {
	rows := [][]string{{"column", "about", "quantity", "of", "holds", "unit", "meaning"}}
	for _, c := range s.table().columns {
		rows = append(rows, []string{c.header(), c.about, string(c.quantity), c.of, c.holds, c.unit, c.meaning()})
	}
	return sheet(ctx, w, rows)
}

// sheet writes rows by RFC 4180.
func sheet(ctx context.Context, w io.Writer, rows [][]string) error {
	var out bytes.Buffer
	to := csv.NewWriter(&out)
	to.UseCRLF = true
	for _, row := range rows {
		safe := make([]string, len(row))
		for i, text := range row {
			safe[i] = cell(text)
		}
		if err := to.Write(safe); err != nil {
			return fmt.Errorf("write CSV: %w", err)
		}
	}
	if to.Flush(); to.Error() != nil {
		return fmt.Errorf("write CSV: %w", to.Error())
	}
	return write(ctx, w, "CSV", out.Bytes())
}

// column is what stands in a column: one thing that a statement holds.
type column struct {
	about    string         // "part", "corner", "vehicle"; "" of what a part is called
	quantity facts.Quantity // "" of what a part is called
	of       string
	nth      int // of several statements of the same, from 1
	holds    string
	unit     string
}

// What the table says beside what is stated.
const (
	holdPoint    facts.Quantity = "hold point" // how one stands
	orderUnknown facts.Cause    = "order of two entries not known"
)

// What a column holds of a statement. Further figures stand by their names.
const (
	holdsValue  = "value"
	holdsLimit  = "limit"
	holdsSource = "source of the limit"
	holdsMet    = "met"
	holdsSure   = "how sure"
	holdsWhy    = "because"
)

// header names the column.
func (c column) header() string {
	if c.quantity == "" {
		return c.holds
	}
	text := words.Commas(c.about+": "+string(c.quantity), c.of) + words.If(c.nth > 1, fmt.Sprintf(" (%d)", c.nth))
	return text + words.If(c.holds != holdsValue, ", "+c.holds) + words.Fill(" (%s)", c.unit)
}

// meaning says what the column holds, in a sentence.
func (c column) meaning() string {
	switch {
	case c.quantity == "":
		return meanings(c.holds)
	case c.quantity == holdPoint:
		return "How the hold point of the route card stands: met, open, broken, in doubt or waived."
	case c.holds == holdsValue:
		return "The figure or word that is stated" + words.Fill(", in %s", c.unit) + ". What was typed stays as it was typed."
	case c.holds == holdsLimit:
		return "What the value is held against, with its unit."
	case c.holds == holdsSource:
		return "Where the limit comes from."
	case c.holds == holdsMet:
		return "Whether the limit is kept: yes, no, or not known."
	case c.holds == holdsSure:
		return "How sure the statement is: as written, measured on the part, worked out, at most, not proven, still to come, or undone."
	case c.holds == holdsWhy:
		return "Why something is not proven, still to come, or undone."
	}
	return "A further figure or word of the same statement" + words.Fill(", in %s", c.unit) + "."
}

// meanings says what the columns hold that name a part.
func meanings(holds string) string {
	switch holds {
	case "job":
		return "The job: one stay of the vehicle in the shop."
	case "VIN", "plate":
		return "Of the vehicle, as the job was opened with it."
	case "corner":
		return "Where on the vehicle the part sits, as seen by the driver; NC is none."
	case "part":
		return "The part’s name in the job."
	case "casting number":
		return "The shop’s own number in the metal."
	case "pattern":
		return "The foundry’s mark, which many castings share."
	}
	return "The part’s " + holds + "."
}

// table is a table in the making.
type table struct {
	*Source
	columns []column
	at      map[column]int
	rows    []map[int]string
}

func (s *Source) table() *table {
	t := &table{Source: s, at: make(map[column]int)}
	for _, st := range s.Jobs {
		t.job(st)
	}
	t.arrange()
	return t
}

// arrange puts the columns of one thing beside each other, whichever part they
// were found at first.
func (t *table) arrange() {
	first := make(map[column]int) // where something was stated first
	key := func(c column) column {
		c.holds, c.unit = "", ""
		return c
	}
	place := make([]int, len(t.columns))
	for i, c := range t.columns {
		if _, known := first[key(c)]; !known {
			first[key(c)] = i
		}
		place[i] = i
	}
	slices.SortStableFunc(place, func(a, b int) int {
		x, y := t.columns[a], t.columns[b]
		return cmp.Or(cmp.Compare(rank(x.about), rank(y.about)), cmp.Compare(first[key(x)], first[key(y)]))
	})
	columns, to := make([]column, len(place)), make([]int, len(place))
	for i, was := range place {
		columns[i], to[was] = t.columns[was], i
	}
	t.columns = columns
	for i, cells := range t.rows {
		t.rows[i] = make(map[int]string, len(cells))
		for at, text := range cells {
			t.rows[i][to[at]] = text
		}
	}
}

// rank is the order of what columns are about.
func rank(about string) int { return slices.Index([]string{"", "part", "corner", "vehicle"}, about) }

// job adds the rows of a job: a part each, also where the route card is not
// here, without which nothing is stated.
func (t *table) job(st *shop.Standing) {
	var is *facts.Job
	sites := make(map[journal.Subject]*facts.Site)
	if st.Card != nil && st.Job.Opened != nil {
		is = st.Stock.Job(st.Card, st.Job)
		for _, site := range is.Parts {
			sites[site.Subject] = site
		}
		for _, site := range is.Corners {
			sites[site.Subject] = site
		}
	}
	for _, c := range st.Job.Corners {
		for _, p := range c.Parts {
			r := t.row(st, c, p)
			if is == nil {
				continue
			}
			r.site("part", sites[p.Subject])
			r.site("corner", sites[journal.About(st.Job.ID, c.Corner, "")])
			r.site("vehicle", is.Vehicle)
			r.held()
		}
	}
}

// row is the cells of a part.
type row struct {
	*table
	of    *shop.Standing
	part  journal.Subject
	cells map[int]string
	seen  map[column]int // how often something was stated of the part
}

func (t *table) row(st *shop.Standing, c *record.Corner, p *record.Part) *row {
	r := &row{t, st, p.Subject, make(map[int]string), make(map[column]int)}
	t.rows = append(t.rows, r.cells)
	var vehicle journal.Vehicle
	if st.Job.Stated != nil {
		vehicle = st.Job.Stated.Vehicle
	}
	for _, f := range []struct{ name, text string }{
		{"job", string(st.Job.ID)}, {"VIN", vehicle.VIN}, {"plate", vehicle.Plate}, {"corner", string(c.Corner)}, {"part", string(p.ID)},
		{"tag", p.Tag}, {"casting number", p.Number}, {"pattern", p.Pattern}, {"metal", string(p.Metal)},
	} {
		r.put(column{holds: f.name}, f.text)
	}
	return r
}

func (r *row) put(c column, text string) {
	at, known := r.at[c]
	if !known {
		at = len(r.columns)
		r.at[c], r.columns = at, append(r.columns, c)
	}
	r.cells[at] = text
}

// held adds how the hold points stand that the part has, by itself, with its corner and
// with the vehicle. What is stated alone is not yet a verdict.
func (r *row) held() {
	for v := range r.of.Each() {
		about := "vehicle"
		switch {
		case !facts.Covers(v.Subject, r.part):
			continue
		case v.Subject.Part() != "":
			about = "part"
		case v.Subject.Corner() != "":
			about = "corner"
		}
		r.put(column{about: about, quantity: holdPoint, of: string(v.Hold), holds: holdsValue}, string(v.State))
	}
}

// doubted reports whether a hold point that is in doubt states the same: in another order
// of two entries, which is as true, it is otherwise.
func (r *row) doubted(s facts.Statement) bool {
	for v := range r.of.Each() {
		if v.State == route.InDoubt && facts.Covers(v.Subject, r.part) && slices.ContainsFunc(v.Statements, s.Same) {
			return true
		}
	}
	return false
}

// site adds all that is stated of a thing.
func (r *row) site(about string, site *facts.Site) {
	if site == nil {
		return
	}
	var told []facts.Statement
	for _, g := range site.Groups() {
		for _, s := range g.All() {
			if slices.ContainsFunc(told, func(o facts.Statement) bool { return s.Same(o) && s.Sure == o.Sure && s.Limit == o.Limit }) {
				continue // several groups state it
			}
			told = append(told, s)
			r.state(about, s)
		}
	}
}

// state adds a statement.
func (r *row) state(about string, s facts.Statement) {
	c := column{about: about, quantity: s.Quantity, of: s.Of}
	by := ""
	if s.Quantity == facts.SecondLook || s.Quantity == facts.OwnLook { // of a person
		c.of, by = "", s.Of
	}
	r.seen[c]++
	c.nth = r.seen[c]
	add := func(holds, unit, text string) {
		if text == "" {
			return
		}
		c := c
		c.holds, c.unit = holds, spelled(unit)
		r.put(c, text)
	}
	switch s.Sure {
	case facts.NotYet, facts.Undone: // a figure of theirs is of what is missing
		add("missing", s.Unit, s.Value)
	default:
		add(holdsValue, s.Unit, s.Value)
	}
	for _, f := range s.With {
		add(f.Name, f.Unit, f.Value)
	}
	if by != "" {
		add("by", "", r.called(journal.PersonID(by)))
	}
	add(holdsLimit, "", s.Limit.String())
	add(holdsSource, "", s.Source)
	if s.Met == facts.Yes && r.doubted(s) {
		s.Met, s.Sure, s.Because = facts.NotKnown, facts.NotProven, orderUnknown
	}
	add(holdsMet, "", string(s.Met))
	add(holdsSure, "", string(s.Sure))
	add(holdsWhy, "", string(s.Because))
}
