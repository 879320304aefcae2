package desk

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/parts"
	"fettlebook/journal/trace"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// castingPage is the life of a casting over jobs, vehicles and rework.
type castingPage struct {
	Name     string
	Facts    []readonly.Fact
	Notes    []string
	Trace    string
	Coats    string // its rows of the parts table; "" of what those cannot name
	Drawings []lifeDrawing
	Flaws    []flawRow
	Placed   bool // some defects have a place on a drawing
	Stays    []stayView
	Open     []string
	Choices  []readonly.Link // several castings bear the name
}

// lifeDrawing is one side of the part, with the defects of all coats.
type lifeDrawing struct {
	Title string
	SVG   template.HTML
}

// flawRow is a defect of the casting.
type flawRow struct {
	ID, Label, Coat string
	Says            []pages.Bit
	Path            string
	Look            *readonly.Look
	Unplaced        bool
	Decision        string
	Decided         string // path
	Photos          []readonly.Snap
}

// stayView is one job of the casting.
type stayView struct {
	Place, Vehicle, Path string
	Job                  journal.JobID
	Span                 string
	Is                   string
	By                   string // path
	Instead, InsteadOf   *readonly.Link
	Works                []workView
	Renewed              []readonly.Link
	Photos               []pictured
}

// workView is the work for one coat.
type workView struct {
	Title, Since string
	States       []stated
	Heated       []stated
	Heat         string
	Flaws        []flawRow
}

// stated is a statement with the entries that it rests on.
type stated struct {
	Says    []pages.Bit
	Broken  bool
	Entries []readonly.Link
}

// pictured is an entry with photographs.
type pictured struct {
	When, Says string
	Photos     []readonly.Snap
}

func (d *Desk) casting(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	name := r.PathValue("name")
	found := []journal.Subject{journal.Subject(name)}
	if found[0].Word() != "job/corner/part" {
		found = trace.Castings(s, name)
	}
	p := castingPage{Name: name}
	switch len(found) {
	case 0:
	case 1:
		if life := trace.Life(s, found[0]); life != nil {
			p.fill(life, found[0], s)
			d.reads(w, r, s, "casting", "Casting "+p.Name, p)
			return
		}
	default:
		for _, of := range found {
			p.Choices = append(p.Choices, readonly.Link{Say: fmt.Sprintf("%s in job %s", pages.Place(of), of.Job()), Path: readonly.CastingPath(string(of))})
		}
		d.reads(w, r, s, "casting", "Castings "+name, p)
		return
	}
	d.missing(w, r, "No casting on this machine bears "+name+". Trace finds it by a part of what was read, or with a slip in it; what was written on a tablet without a network comes when that tablet can be reached.")
}

// fill lays a life out.
func (p *castingPage) fill(l *facts.Life, of journal.Subject, s *live.Snapshot) {
	p.Name, p.Notes, p.Trace = l.Name, l.Notes, readonly.TracePath(string(of))
	if known := l.Known(); known != "" {
		p.Coats = coatsPath(parts.Casting, known)
	}
	for _, f := range []readonly.Fact{{Name: "Number", Says: l.Number}, {Name: "Cast mark", Says: l.Mark()}, {Name: "Pattern", Says: l.Pattern}, {Name: "Metal", Says: string(l.Metal)}, {Name: "Coats on record", Says: fmt.Sprint(l.Coats())}} {
		if f.Says != "" {
			p.Facts = append(p.Facts, f)
		}
	}
	if l.Heat != nil {
		p.Facts = append(p.Facts, readonly.Fact{Name: "Heat", Says: words.Sentence(l.Heat.Say())})
	}
	p.flawed(l, s)
	for _, stay := range l.Stays {
		p.Stays = append(p.Stays, p.newStay(stay, s))
	}
	for _, st := range l.Open {
		p.Open = append(p.Open, words.Sentence(st.Say()))
	}
}

// flawed lists all defects, and draws those whose place on the part is known.
func (p *castingPage) flawed(l *facts.Life, s *live.Snapshot) {
	spots, shows := make(map[journal.Outline][]outline.Spot), make(map[journal.Outline][]string)
	for i, f := range l.Flawed() {
		row := newFlaw(f, labelOf(l.Flawed()[:i], f), s)
		if o := f.Defect.Outline; o != "" {
			spots[o] = append(spots[o], outline.Spot{Place: outline.Place{Left: f.Defect.X.In(unit.Percent), Top: f.Defect.Y.In(unit.Percent)}, Label: row.Label, Layer: f.Coat})
			shows[o] = append(shows[o], fmt.Sprintf("%s %s", row.Label, f.Defect.Called()))
			p.Placed = true
		}
		p.Flaws = append(p.Flaws, row)
	}
	for _, word := range journal.Outline("").Words() {
		if o := journal.Outline(word); len(spots[o]) > 0 {
			p.Drawings = append(p.Drawings, lifeDrawing{words.Capital(word), outline.Spots(o, word+", with "+words.And(shows[o]...), spots[o])})
		}
	}
}

// labelOf is what a defect is called on the drawing: its coat, and a letter among
// those of the coat.
func labelOf(before []facts.Flaw, f facts.Flaw) string {
	n := 0
	for _, o := range before {
		if o.Coat == f.Coat {
			n++
		}
	}
	letters := string(rune('a' + n%26))
	if n >= 26 {
		letters = fmt.Sprintf("%s%d", letters, n/26+1)
	}
	return fmt.Sprintf("%d%s", f.Coat, letters)
}

func newFlaw(f facts.Flaw, label string, s *live.Snapshot) flawRow {
	row := flawRow{ID: "defect-" + label, Label: label, Coat: words.Choose(f.Coat > 0, fmt.Sprintf("coat %d", f.Coat), "a coat that is not on record"), Says: pages.Bits(words.Capital(journal.Told(f.Defect, s.Shop.Writing()).Say())), Path: readonly.EntryPath(f.Entry),
		Look: readonly.LookOf(string(f.Defect.Looks)), Unplaced: f.Defect.Outline == "", Decision: string(f.Decision), Photos: readonly.NewLine(f.Line, s).Photos}
	if f.Decision != "" {
		row.Decided = readonly.EntryPath(f.Decided)
	}
	return row
}

func (p *castingPage) newStay(stay *facts.Stay, s *live.Snapshot) stayView {
	v := stayView{Place: words.Capital(pages.Place(stay.Part)), Vehicle: strings.TrimSpace(stay.Vehicle + " " + stay.Job.Looks()), Path: readonly.JobPath(stay.Part.Job()), Job: stay.Part.Job(), Is: stay.Is}
	v.Span = words.Commas(words.Fill("here from %s", dayOf(stay.Begun, s.Shop.Writing())), words.Fill("handed back on %s", dayOf(stay.Released, s.Shop.Writing())))
	if stay.Is != "" {
		v.By = readonly.EntryPath(stay.By)
	}
	other := func(of journal.Subject) *readonly.Link {
		if of == "" {
			return nil
		}
		return &readonly.Link{Say: pages.Place(of), Path: readonly.CastingPath(string(of))}
	}
	v.Instead, v.InsteadOf = other(stay.Instead), other(stay.InsteadOf)
	for _, w := range stay.Works {
		v.Works = append(v.Works, p.newWork(w, s))
	}
	for _, r := range stay.Renewed {
		v.Renewed = append(v.Renewed, readonly.Link{Say: words.Capital(r.Says), Path: readonly.EntryPath(r.Entry)})
	}
	for _, l := range stay.Pictures {
		line := readonly.Dated(l, s)
		v.Photos = append(v.Photos, pictured{line.Time, l.Kind.About(), line.Photos})
	}
	return v
}

func (p *castingPage) newWork(w *facts.Work, s *live.Snapshot) workView {
	v := workView{Title: "Work after which no powder went on", Since: dayOf(w.Begun, s.Shop.Writing())}
	if w.Coat > 0 {
		v.Title = fmt.Sprintf("Coat %d", w.Coat)
	}
	for _, st := range w.States {
		v.States = append(v.States, newStated(st, s))
	}
	for _, st := range w.Heated {
		v.Heated = append(v.Heated, newStated(st, s))
	}
	if w.Heat != nil {
		v.Heat = words.Sentence("by then " + w.Heat.Say())
	}
	for _, f := range w.Flaws {
		if i := slices.IndexFunc(p.Flaws, func(row flawRow) bool { return row.Path == readonly.EntryPath(f.Entry) }); i >= 0 {
			v.Flaws = append(v.Flaws, p.Flaws[i])
		}
	}
	return v
}

// mostRests is how many entries of a statement are led to.
const mostRests = 4

func newStated(st facts.Statement, s *live.Snapshot) stated {
	v := stated{Says: pages.Bits(words.Capital(st.Say())), Broken: st.Met == facts.No}
	for i, id := range st.Entries {
		if i < mostRests {
			v.Entries = append(v.Entries, readonly.CiteEntry(id, s))
		}
	}
	return v
}

func dayOf(s journal.Stamp, w words.Writing) string {
	if time.Time(s).IsZero() {
		return ""
	}
	return w.Day(time.Time(s))
}
