// Package figure works out at once what an entry comes to: the verdicts that
// rest on it, the figures with their limit and where the limit comes from, and
// what hold points do not say, such as the tool's next check or what is still
// in a bore.
//
// The snapshot may be one in which the entry is only supposed, so that the
// person at the bench sees what it comes to before stamping it; the page of a
// written entry shows the same. Verdicts are those of the job's route card and
// are never worked out a second time. What concerns safety comes first.
// Nothing here approves a brake.
//
//	snap, id, err := l.Suppose(ctx, draft)
//	f := figure.Of(snap, id)
//	shell.Fragment(w, r, "write", "figure", f)
//
// The template "folded" opens with what is not met and with the picture, and folds
// what is met into a count. The template "figure" is the element that the pages' script swaps, with the
// id figure; it is empty when there is nothing to say. The template "figured"
// is what is in it, for pages that show several.
package figure

import (
	"cmp"
	"embed"
	"html/template"
	"io/fs"
	"slices"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

type (
	// Figure is what an entry comes to. The zero Figure says nothing.
	Figure struct {
		Say   []Sentence // what concerns safety first, what is wrong before what is right
		Table Table
		Chart template.HTML // an SVG, or empty
		// Narrow is the chart laid out for a telephone.
		Narrow template.HTML
		// Caution says whose figures come first. It is there when a sentence
		// could hurt someone who takes it for an approval.
		Caution string
	}

	// Sentence is one thing that is said.
	Sentence struct {
		Text   string
		State  route.State // how it stands; "" for a figure that is not a verdict
		Safety bool
		Rests  string // the limit and its source, or ""
		// Default says that the source is the shop's default, which the page explains once.
		Default bool
		Holds   int // of how many things it says how a hold point stands
	}

	// Table is the figures of the chart, or of all that was read.
	Table struct {
		Title string
		Head  []string
		Rows  [][]string // each as long as Head
	}
)

// IsZero reports whether there is nothing to say.
func (f Figure) IsZero() bool { return len(f.Say) == 0 && len(f.Table.Rows) == 0 && f.Chart == "" }

// ByDefault reports whether the shop's default is named as a source.
func (f Figure) ByDefault() bool {
	return slices.ContainsFunc(f.Say, func(s Sentence) bool { return s.Default })
}

// Warns reports whether it says whose figures come first.
func (f Figure) Warns() bool { return f.Caution != "" }

// Unmet is what is not met, the worst first.
func (f Figure) Unmet() []Sentence {
	return f.only(func(s Sentence) bool { return s.State != "" && s.State != route.Met })
}

// Met is what is met.
func (f Figure) Met() []Sentence {
	return f.only(func(s Sentence) bool { return s.State == route.Met })
}

// Told is what is no verdict.
func (f Figure) Told() []Sentence {
	return f.only(func(s Sentence) bool { return s.State == "" })
}

func (f Figure) only(keep func(Sentence) bool) []Sentence {
	return slices.DeleteFunc(slices.Clone(f.Say), func(s Sentence) bool { return !keep(s) })
}

// Folded says how many hold points are met, thing by thing, in place of what is said
// of them.
func (f Figure) Folded() string {
	n := 0
	for _, s := range f.Met() {
		n += s.Holds
	}
	if n == 0 {
		return "What is met"
	}
	return words.Count(n, "hold point") + " met"
}

//go:embed html
var templates embed.FS

// Templates holds the templates "figure" and "figured", each of a [Figure].
func Templates() fs.FS { return templates }

// corrections bounds how many corrections of corrections are followed.
const corrections = 8

// Of works out what an entry comes to. An entry that is not in the snapshot
// comes to nothing, and so does one of a kind without figures. A correction
// comes to what the entry that it names comes to now.
func Of(s *live.Snapshot, id journal.EntryID) Figure {
	w := begin(s, id)
	if w == nil {
		return Figure{}
	}
	w.holds()
	w.figures()
	w.Say = slices.CompactFunc(w.Say, func(a, b Sentence) bool { return a == b })
	slices.SortStableFunc(w.Say, func(a, b Sentence) int { return cmp.Compare(a.rank(), b.rank()) })
	if slices.ContainsFunc(w.Say, func(s Sentence) bool { return s.Safety }) {
		w.Caution = record.Caution
	}
	return w.Figure
}

// begin finds the entry, of a correction the one that it names; nil if it is not
// in the snapshot.
func begin(s *live.Snapshot, id journal.EntryID) *work {
	if s == nil || s.Shop == nil {
		return nil
	}
	line := lineOf(s, id)
	for range corrections {
		if line == nil || line.Corrects.IsZero() {
			break
		}
		line = lineOf(s, line.Corrects)
	}
	if line == nil || line.ID.IsZero() {
		return nil
	}
	around := s.Around(line)
	return &work{snap: s, shop: around, stock: facts.StockOf(around), line: line}
}

func lineOf(s *live.Snapshot, id journal.EntryID) *record.Line {
	if lines := s.Line(id); len(lines) > 0 {
		return lines[0]
	}
	return nil
}

// work is a figure in the making.
type work struct {
	Figure
	snap  *live.Snapshot
	shop  *record.Shop // in which the line stands
	stock *facts.Stock
	line  *record.Line
	// rest are the verdicts that the entry has a part in.
	rest []route.Verdict
}

// figures adds what the entry comes to by itself, as far as no verdict has
// said it.
func (w *work) figures() {
	e := w.stock.Entry(w.line)
	var said []Sentence
	places := make(map[Sentence][]string) // of which the same is to be said
	for _, s := range e.Statements {
		if w.told(s) {
			continue
		}
		text := sentence(s)
		if !slices.Contains(said, text) {
			said = append(said, text)
		}
		if s.About != w.line.Subject {
			places[text] = append(places[text], w.name(s.About))
		}
	}
	for _, s := range said {
		if at := places[s]; len(at) > 0 {
			s.Text = w.listed(at) + ": " + s.Text
		}
		w.say(s)
	}
	if e.Film != nil {
		w.drawFilm(*e.Film)
	}
	if e.Reservoir != nil {
		w.drawBalance(*e.Reservoir)
	}
	if e.Bake != nil {
		w.drawBake(*e.Bake)
	}
}

// sentence shows a statement.
func sentence(s facts.Statement) Sentence {
	limit := s.Told().Limit.String()
	switch s.Quantity {
	case facts.JointTorque:
		if s.Fault == nil && s.Because != facts.Warned {
			limit = words.Clauses(words.Fill("%s at the bolt", limit), "the maker’s figure comes first")
		}
	case facts.ToolUses, facts.FluidUseBy, facts.LotUseBy, facts.ToolRange, facts.WarrantyTime, facts.WarrantyDistance:
		limit = "" // the sentence says it
	}
	return Sentence{Text: s.Say(), State: state(s), Safety: s.Safety, Rests: rests(limit, s.Source), Default: card.ByDefault(s.Source)}
}

// state is how a statement stands on a page: what is not known of something
// that could hurt somebody counts as wrong, unless it is still to come.
func state(s facts.Statement) route.State {
	switch {
	case s.Coverage(): // a person decides
		return ""
	case s.Met == facts.Yes:
		return route.Met
	case s.Met == facts.No, s.Met == facts.NotKnown && s.Safety && s.Sure != facts.NotYet:
		return route.Broken
	case s.Met == facts.NotKnown:
		return route.Open
	}
	return ""
}

// rank puts safety before all else, and what is wrong before what is right.
func (s Sentence) rank() int {
	rank := slices.Index([]route.State{route.Broken, route.Open, "", route.Waived, route.Met}, s.State)
	if !s.Safety {
		rank += 10
	}
	return rank
}

func (w *work) say(s Sentence) { w.Say = append(w.Say, s) }

// draw takes a chart and its figures over.
func (w *work) draw(title string, d chart.Drawing) {
	w.Chart, w.Narrow, w.Table = d.SVG, d.Narrow.SVG(), Table{Title: title, Head: d.Head, Rows: d.Rows}
}
