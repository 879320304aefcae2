package desk

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/words"
)

// conditions are what coats are picked by, as somebody typed them.
type conditions struct {
	Where   []string // each as it was typed
	Problem string   // why they cannot be read
	filter  parts.Filter
}

// readConditions takes the conditions out of a query. What is empty asks for
// nothing.
func readConditions(q url.Values) (c conditions) {
	for _, text := range q["where"] {
		if text = strings.TrimSpace(text); text != "" {
			c.Where = append(c.Where, text)
		}
	}
	var err error
	if c.filter, err = parts.ParseFilter(c.Where...); err != nil {
		c.Problem = words.Sentence(err.Error())
	}
	return c
}

// status is that of a page that shows them.
func (c conditions) status() int {
	if c.Problem != "" {
		return http.StatusBadRequest
	}
	return http.StatusOK
}

// Next numbers the field in which another one is typed.
func (c conditions) Next() int { return len(c.Where) + 1 }

// partsPage is a page of the parts table.
type partsPage struct {
	conditions
	Sort             parts.Name
	Falling          bool
	Heads            []partsHead
	Rows             []partsRow
	All              string // how many coats there are
	Shown            string // which of those that meet the conditions, of how many
	Earlier, Further string // paths of the pages before and after
	Dictionary       []parts.Column
}

// partsHead is the head of a column; its path sorts by it.
type partsHead struct{ Says, Path, Order string }

// partsRow is a coat.
type partsRow struct {
	Path, Place string
	Job         journal.JobID
	Cells       []partsCell
}

type partsCell struct {
	Of     string // its column
	Says   string
	Figure bool
	Photo  *readonly.CloseUp // of what it says; nil if there is none
	Path   string            // where it leads
}

// shown are the columns that a page of the table always has, after the part.
func shown() []parts.Name {
	return []parts.Name{parts.Date, parts.Coat, parts.Casting, parts.Pattern, parts.Metal, parts.PowderLot, parts.Bake}
}

func (d *Desk) coats(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	all := d.table(s)
	q := r.URL.Query()
	p := partsPage{conditions: readConditions(q), All: s.Shop.Writing().Count(all.Len(), "coat"), Sort: parts.Name(q.Get("sort")), Falling: q.Get("falling") != "", Dictionary: all.Columns()}
	if _, ok := all.Column(p.Sort); !ok {
		p.Sort, p.Falling = parts.Date, true
	}
	if p.Problem == "" {
		p.fill(s, all.Where(p.filter), q.Get("page"))
	}
	d.shell.Page(w, r, p.status(), "parts", pages.View{Title: "Parts", Frame: d.Frame(r, s), Data: p, Live: true})
}

// fill lists a page of the table, sorted.
func (p *partsPage) fill(s *live.Snapshot, t *parts.Table, page string) {
	fit, in := t.Len(), s.Shop.Writing()
	n, err := strconv.Atoi(page)
	if err != nil || n < 1 || (n-1)*paged >= fit {
		n = 1
	}
	from, to := (n-1)*paged, min(n*paged, fit)
	columns := p.columns(t)
	for _, c := range columns {
		p.Heads = append(p.Heads, p.head(c))
	}
	rows := t.Sorted(p.Sort, p.Falling)[from:to]
	photos := readonly.DefectsOf(s, t, rows)
	for _, i := range rows {
		row := newPartsRow(t, i, columns, in)
		if photo, ok := photos[i]; ok {
			row.Cells[0].Photo = &photo
		}
		p.Rows = append(p.Rows, row)
	}
	p.Shown = in.Sprintf("%d to %d of %d", from+1, to, fit)
	if n > 1 {
		p.Earlier = p.path(p.Sort, p.Falling, n-1)
	}
	if to < fit {
		p.Further = p.path(p.Sort, p.Falling, n+1)
	}
}

// columns are those that are shown: the usual ones, and those that are asked
// about or sorted by.
func (p *partsPage) columns(t *parts.Table) (list []parts.Column) {
	names := shown()
	for _, c := range p.filter {
		names = append(names, c.Column.Name)
	}
	for _, name := range append(names, p.Sort) {
		c, ok := t.Column(name)
		_, look := name.Look()
		if ok && !look && name != parts.Part && name != parts.Job && !slices.ContainsFunc(list, func(have parts.Column) bool { return have.Name == name }) {
			list = append(list, c)
		}
	}
	return list
}

func (p *partsPage) head(c parts.Column) partsHead {
	h := partsHead{Says: headed(c)}
	falling := c.Kind == parts.Day // the newest first
	if c.Name == p.Sort {
		h.Order, falling = words.Choose(p.Falling, "descending", "ascending"), !p.Falling
	}
	h.Path = p.path(c.Name, falling, 1)
	return h
}

// headed is what stands at the head of a column.
func headed(c parts.Column) string {
	return words.Commas(words.Capital(c.Says), c.Unit)
}

func (p *partsPage) path(sort parts.Name, falling bool, page int) string {
	q := url.Values{"where": p.Where}
	if sort != parts.Date || !falling {
		q.Set("sort", string(sort))
	}
	if falling && sort != parts.Date {
		q.Set("falling", "yes")
	}
	if page > 1 {
		q.Set("page", strconv.Itoa(page))
	}
	return withQuery("/parts", q)
}

// coatsPath leads to the rows that have a word in a column.
func coatsPath(column parts.Name, word string) string {
	return withQuery("/parts", url.Values{"where": {string(column) + string(parts.Is) + word}})
}

func withQuery(path string, q url.Values) string {
	if text := q.Encode(); text != "" {
		return path + "?" + text
	}
	return path
}

// newPartsRow has cells of what was found, of the columns, and of the handover.
func newPartsRow(t *parts.Table, i int, columns []parts.Column, in words.Writing) partsRow {
	about := journal.Subject(t.At(i, parts.Part).String())
	row := partsRow{Path: readonly.JobPath(about.Job()), Place: pages.Place(about), Job: about.Job(), Cells: []partsCell{{Of: "Defects", Says: found(t, i)}}}
	for _, c := range columns {
		cell := partsCell{Of: headed(c), Says: says(t.At(i, c.Name), in), Figure: c.Kind == parts.Number || c.Kind == parts.Day}
		if c.Name == parts.Casting {
			cell.Path = lifePath(t.At(i, c.Name), about)
		}
		row.Cells = append(row.Cells, cell)
	}
	row.Cells = append(row.Cells, partsCell{Of: "Handed back", Says: says(t.At(i, parts.HandedBack), in), Figure: true})
	return row
}

// lifePath leads to the life of the casting in a row: by its name, else by the part.
func lifePath(casting parts.Value, of journal.Subject) string {
	if casting.Known() {
		return readonly.CastingPath(casting.String())
	}
	return readonly.CastingPath(string(of))
}

// says is a value, or a dash for what nobody wrote down.
func says(v parts.Value, in words.Writing) string {
	return words.Choose(v.Known(), v.Written(in), "–")
}

// found says what was seen on a coat.
func found(t *parts.Table, row int) string {
	switch seen, looked := t.Defects(row); {
	case len(seen) > 0:
		return words.Commas(seen...)
	case looked:
		return "none"
	}
	return "not looked at yet"
}

// coatsCSV gives the rows that meet the conditions, with all columns.
func (d *Desk) coatsCSV(w http.ResponseWriter, r *http.Request) {
	c := readConditions(r.URL.Query())
	if c.Problem != "" {
		http.Redirect(w, r, withQuery("/parts", url.Values{"where": c.Where}), http.StatusSeeOther)
		return
	}
	t := d.table(d.Live.View(r.Context()))
	if err := live.Trouble(r.Context()); err != nil {
		d.Logger.ErrorContext(r.Context(), "write the parts table", "error", err)
		http.Error(w, "The table cannot be read now; the log on this machine says why.", http.StatusInternalServerError)
		return
	}
	asFile(w, "parts.csv")
	if err := t.Where(c.filter).WriteCSV(w, r.URL.Query().Get("people") == "yes"); err != nil {
		d.Logger.DebugContext(r.Context(), "send the parts table", "error", err) // who left does not need it
	}
}

// dictionaryCSV says what the columns are.
func (d *Desk) dictionaryCSV(w http.ResponseWriter, r *http.Request) {
	asFile(w, "parts-dictionary.csv")
	if err := parts.WriteDictionary(w); err != nil {
		d.Logger.DebugContext(r.Context(), "send the data dictionary", "error", err)
	}
}

func asFile(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", name))
	w.Header().Set("Cache-Control", "no-store")
}
