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
// The template "figure" is the element that the pages' script swaps, with the
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
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

type (
	// Figure is what an entry comes to. The zero Figure says nothing.
	Figure struct {
		Say   []Sentence // what concerns safety first, what is wrong before what is right
		Table Table
		Chart template.HTML // an SVG, or empty
		// Caution says whose figures come first. It is there when a sentence
		// could hurt someone who takes it for an approval.
		Caution string
	}

	// Sentence is one thing that is said.
	Sentence struct {
		Text   string
		State  route.State // how it stands; "" for a figure that is no verdict
		Safety bool
		Rests  string // the limit and its source, or ""
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
	if s == nil || s.Shop == nil {
		return Figure{}
	}
	line := lineOf(s.Shop, id)
	for range corrections {
		if line == nil || line.Corrects.IsZero() {
			break
		}
		line = lineOf(s.Shop, line.Corrects)
	}
	if line == nil || line.ID.IsZero() {
		return Figure{}
	}
	w := &work{snap: s, shop: s.Shop, line: line}
	w.holds()
	w.figures(line.Effect())
	w.Say = slices.CompactFunc(w.Say, func(a, b Sentence) bool { return a == b })
	slices.SortStableFunc(w.Say, func(a, b Sentence) int { return cmp.Compare(a.rank(), b.rank()) })
	if slices.ContainsFunc(w.Say, func(s Sentence) bool { return s.Safety }) {
		w.Caution = record.Caution
	}
	return w.Figure
}

func lineOf(shop *record.Shop, id journal.EntryID) *record.Line {
	if lines := shop.Line(id); len(lines) > 0 {
		return lines[0]
	}
	return nil
}

// work is a figure in the making.
type work struct {
	Figure
	snap *live.Snapshot
	shop *record.Shop
	line *record.Line
	// rest are the verdicts that the entry has a part in.
	rest []route.Verdict
}

// figures adds what hold points do not say.
func (w *work) figures(data journal.Payload) {
	switch d := data.(type) {
	case *journal.Job:
		w.vin(d.Vehicle.VIN)
	case *journal.Torque:
		w.torque(d)
	case *journal.WheelFit:
		w.wheel(d)
	case *journal.Retorque:
		w.retorque(d)
	case *journal.Bleed:
		w.screw(d)
		w.container(d.Fluid)
		w.balance()
	case *journal.Reservoir:
		w.container(d.Fluid)
		w.balance()
	case *journal.FluidContainer:
		w.boiling(d)
		w.container(d.Fluid)
	case *journal.FilmReadings:
		w.film(d)
	case *journal.Coating:
		w.dew(d)
		w.lot(d.Lot)
	case *journal.Soaking:
		w.soak(d)
	case *journal.Masking, *journal.Unmasking:
		w.plugs()
	case *journal.BakeStart:
		w.loaded(d)
		w.bake(nil)
	case *journal.ProbeTrace:
		w.bake(d)
	case *journal.Cure:
		w.bake(nil)
	}
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
	w.Chart, w.Table = d.SVG, Table{Title: title, Head: d.Head, Rows: d.Rows}
}
