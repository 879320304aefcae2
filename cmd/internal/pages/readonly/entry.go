package readonly

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// entryPage is one entry; after a fork one id may stand for several.
type entryPage struct {
	Double  bool // different entries have this id
	Title   string
	Context []Link // what it lies in
	Entries []entryView
	Figure  any
	Warned  bool // the figure says that this is not an approval, so the end of the page need not
	Default bool // it names the shop's default as a source
	Struck  bool
	Correct string // path of the page that strikes it through
	Second  string // path of the page on which a second person looks
	Holds   []Link // hold points that rest on it
}

// entryView is an entry in full.
type entryView struct {
	Line
	Day     string
	About   string
	Clocks  []Fact
	Proof   string
	Photos  []photoView
	Drawing template.HTML // of the part, with the place of a defect
	Look    *Look         // of a defect
	Speaks  []Day         // corrections and second looks that name it
	Written string        // its data
	Kind    string
}

// Fact is something that is named and said.
type Fact struct{ Name, Says string }

// photoView is a photograph, large.
type photoView struct {
	ID, Thumb, Original string
	Shows, Camera, Hash string
	Withdrawn           *Link
	Width, Height       int           // of the thumbnail, if something is marked on it
	Rings               template.HTML // the marks
	Large               string        // its own page
	Away                string        // why there is no original to open
	Withdraw            string
}

func (p *Paper) entry(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	lines := p.named(w, r, s, "entry")
	if len(lines) == 0 {
		return
	}
	d := entryPage{Double: slices.ContainsFunc(lines, func(l *record.Line) bool { return l.Has(record.DoubleID) }), Title: words.Capital(cmp.Or(lines[0].About, string(lines[0].Kind))), Context: p.contextOf(lines[0], s), Struck: lines[0].Struck != nil}
	for i, l := range lines {
		d.Entries = append(d.Entries, p.entryView(r, l, s, i))
	}
	l, id := lines[0], lines[0].ID
	if l.Kind.Known() && l.Kind.Hand() != journal.ByProgram && !l.Kind.Is(journal.Final) {
		d.Correct = path("correct", id.String())
	}
	if slices.Contains(journal.SecondChecked.Places(), l.Subject.Word()) && l.Kind != journal.SecondChecked {
		d.Second = WritePath(journal.SecondChecked, l.Subject, "of", id.String())
	}
	if p.Figure != nil {
		d.Figure = p.Figure(s, id)
	}
	if f, ok := d.Figure.(interface{ IsZero() bool }); ok && f.IsZero() {
		d.Figure = nil
	}
	if f, ok := d.Figure.(interface{ ByDefault() bool }); ok {
		d.Default = f.ByDefault()
	}
	if f, ok := d.Figure.(interface{ Warns() bool }); ok {
		d.Warned = f.Warns()
	}
	d.Holds = holdsOn(l, s)
	p.live(w, r, s, "entry", d.Title, d)
}

// named are the lines of the entry that an address names, what counts first. Where there is
// none it says so of what is looked for.
func (p *Paper) named(w http.ResponseWriter, r *http.Request, s *live.Snapshot, what string) []*record.Line {
	id, err := journal.ParseEntryID(r.PathValue("id"))
	if err != nil {
		p.Missing(w, r, "That is not an entry ID. Open the "+what+" from the record.")
		return nil
	}
	lines := s.Line(id)
	if len(lines) == 0 {
		p.noSuch(w, r, what)
	}
	slices.SortStableFunc(lines, func(a, b *record.Line) int {
		switch {
		case a.Counts() == b.Counts():
			return 0
		case a.Counts():
			return -1
		default:
			return 1
		}
	})
	return lines
}

func (p *Paper) noSuch(w http.ResponseWriter, r *http.Request, what string) {
	p.Missing(w, r, "There is no such "+what+" on this machine. It may still be on a tablet that cannot be reached.")
}

// contextOf says in which vehicles and jobs an entry lies.
func (p *Paper) contextOf(l *record.Line, s *live.Snapshot) []Link {
	jobs := []*record.Job{s.Job(l.Subject.Job())}
	var list []Link
	if run := s.Run(l.Subject.Run()); run != nil {
		list = append(list, Link{"run " + string(run.ID), path("run", string(run.ID))})
		jobs = run.Jobs
	}
	if p.Desk && l.Kind == journal.InvestigationMade {
		list = append(list, Link{"The investigation", InvestigationPath(l.ID)})
	}
	if what, name, _ := strings.Cut(string(l.Subject), "/"); p.Desk && journal.OnShelf(what) {
		list = append(list, Link{what + " " + name, ShelfPath(what, name)})
	}
	for _, j := range jobs {
		if j != nil {
			list = append(list, Link{strings.TrimSpace(j.Name() + " " + j.Looks()), JobPath(j.ID)})
		}
	}
	if l.Subject.Job() != "" || l.Subject.Run() != "" || journal.OnShelf(l.Subject.Word()) {
		list = append(list, Link{"Trace", TracePath(string(traceable(l.Subject)))})
	}
	if l.Subject.Part() != "" && p.Desk {
		list = append(list, Link{"Life of the casting", CastingPath(string(l.Subject))})
	}
	return list
}

// traceable is what is traced of what an entry is about: a part, else the vehicle;
// a run or a thing.
func traceable(s journal.Subject) journal.Subject {
	if s.Job() != "" && s.Part() == "" {
		return journal.About(s.Job(), "", "")
	}
	return s
}

func (p *Paper) entryView(r *http.Request, l *record.Line, s *live.Snapshot, side int) entryView {
	v := entryView{Line: NewLine(l, s), Day: dayOf(l), About: l.About, Clocks: clocks(l, s), Proof: proof(l, s),
		Written: string(l.Data), Kind: fmt.Sprintf("%s, version %d", l.Kind, l.Version)}
	for i, photo := range l.Photos {
		id := fmt.Sprintf("photo-%d", i+1)
		if side > 0 {
			id = fmt.Sprintf("other-%d-%s", side, id)
		}
		one := p.photoView(r, photo, l, s, id)
		if side == 0 { // whose photographs the address leads to
			one.Large = PicturePath(facts.Sight{Photo: photo, Line: l, At: i}, "")
		}
		p.ring(r, &one, photo, s.Marks(l, photo.Ref))
		v.Photos = append(v.Photos, one)
	}
	if d, ok := l.Effect().(*journal.Defect); ok {
		v.Look = LookOf(string(d.Looks))
		if d.Outline != "" {
			v.Drawing = outline.Shown(d.Outline, d.X.In(unit.Percent), d.Y.In(unit.Percent))
		}
	}
	var speak []*record.Line
	for _, other := range s.Cites(journal.EntrySubject(l.ID)) {
		if slices.Contains(journal.CitedEntries(other.Payload), l.ID) {
			speak = append(speak, other)
		}
	}
	v.Speaks = Days(speak, s)
	return v
}

// ring lays marks over a photograph that is here.
func (p *Paper) ring(r *http.Request, v *photoView, photo record.Photo, marks []shop.Mark) {
	if len(marks) == 0 || v.Withdrawn != nil {
		return
	}
	_, places, _ := drawn(marks)
	for i := range places {
		places[i].Number = 0 // they are listed on the photograph's own page
	}
	if v.Width, v.Height = p.sizeOf(r, photo.Thumb); v.Width > 0 {
		v.Rings = outline.Rings(v.Width, v.Height, places)
	}
}

func (p *Paper) photoView(r *http.Request, photo record.Photo, l *record.Line, snap *live.Snapshot, id string) photoView {
	v := photoView{ID: id, Thumb: path("thumb", photo.Thumb.Hex()), Shows: cmp.Or(photo.Role, "photograph"), Hash: photo.Ref.String(), Camera: "the camera gave no time"}
	if photo.Taken != "" {
		v.Camera = "camera: " + strings.Replace(string(photo.Taken), "T", " ", 1)
	}
	if !photo.Withdrawn.IsZero() {
		by := CiteEntry(photo.Withdrawn, snap)
		v.Withdrawn = &by
		return v
	}
	if p.Desk { // it goes for good
		v.Withdraw = WritePath(journal.PhotoWithdrawn, l.Subject, "photo", photo.Ref.String())
	}
	switch here, err := p.Originals.Has(r.Context(), photo.Ref); {
	case err != nil:
		p.Logger.WarnContext(r.Context(), "look for an original", "photo", photo.Ref, "error", err)
		v.Away = "Whether the original is on this machine cannot be shown now; the log on this machine says why."
	case here:
		v.Original = path("photo", photo.Ref.Hex())
	default:
		in, _, err := p.Originals.Open(r.Context(), photo.Ref)
		if err == nil { // it came a moment ago
			_ = in.Close() // it was only looked for
			v.Original = path("photo", photo.Ref.Hex())
			return v
		}
		v.Away = p.away(err)
	}
	return v
}

// clocks are the clocks of an entry side by side, in words.
func clocks(l *record.Line, snap *live.Snapshot) []Fact {
	device := time.Time(l.Clocks.Device)
	list := []Fact{{"Clock of " + snap.Shop.DeviceName(l.Device), l.Writing().Second(device) + " " + words.Zone(device)}}
	off := "never compared with the hub’s before this entry"
	if o := l.Clocks.Offset; o != nil {
		how := "ahead of the hub’s"
		if strings.HasPrefix(o.Clock, "-") {
			how = "behind the hub’s"
		}
		off = fmt.Sprintf("%s %s when the two were last compared (known to %s)", strings.TrimLeft(o.Clock, "+-"), how, o.RoundTrip)
	}
	list = append(list, Fact{"That clock was", off})
	got := "not yet: the hub has not countersigned it"
	if !l.Clocks.Received.IsZero() {
		got = l.Writing().Second(local(l.Clocks.Received, l.Clocks.Device)) + ", by the hub’s own clock: it is not younger than that"
	}
	return append(list, Fact{"Received by the hub", got},
		Fact{"Its running clock", fmt.Sprintf("%s since its start %s; nobody can set this one", lasted(time.Duration(l.Clocks.Uptime)), l.Clocks.Boot)})
}

// lasted says how long something ran, to the second: "50 d 6 h 34 min 59 s".
func lasted(d time.Duration) string {
	var parts []string
	left := d.Round(time.Second)
	for _, of := range []struct {
		name string
		is   time.Duration
	}{{"d", 24 * time.Hour}, {"h", time.Hour}, {"min", time.Minute}, {"s", time.Second}} {
		if n := left / of.is; n > 0 || of.is == time.Second && parts == nil {
			parts = append(parts, fmt.Sprintf("%d %s", n, of.name))
			left -= n * of.is
		}
	}
	return strings.Join(parts, " ")
}

// proof says in short what holds an entry in its place.
func proof(l *record.Line, snap *live.Snapshot) string {
	text := fmt.Sprintf("Entry %d of the log of %s (%s), signed by it.", l.Index+1, snap.Shop.DeviceName(l.Device), l.Device)
	if t := l.Taken; t != nil {
		text += fmt.Sprintf(" That part of the log no longer counts; it was taken over as entry %d of the log of %s (%s).", t.Index+1, snap.Shop.DeviceName(t.Device), t.Device)
	}
	if l.Clocks.Received.IsZero() {
		return text + " The hub’s own signature over it is still to come."
	}
	return text + " The hub has signed over it too, so nobody can take it out or change it unnoticed."
}

// holdsOn lists the hold points that rest on an entry.
func holdsOn(l *record.Line, s *live.Snapshot) []Link {
	jobs := []*record.Job{s.Job(l.Subject.Job())}
	if run := s.Run(l.Subject.Run()); run != nil {
		jobs = run.Jobs
	}
	var list []Link
	for _, j := range jobs {
		if j == nil {
			continue
		}
		for _, v := range s.Standing(j.ID).Verdicts.List {
			if slices.Contains(v.Entries, l.ID) || v.Undone == l.ID {
				list = append(list, Link{fmt.Sprintf("%s, %s: %s", words.Capital(pages.Place(v.Subject)), v.Title, v.State), path("holds", string(j.ID)) + "#" + pages.HoldAnchor(v)})
			}
		}
	}
	return list
}
