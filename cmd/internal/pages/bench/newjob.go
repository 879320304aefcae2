package bench

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"
	"fettlebook/journal/words"

	"github.com/google/uuid"
)

// newJobPage is the sheet at the counter.
type newJobPage struct {
	Words   newjob.Words
	Corners []string // that may be ticked
	Units   []string // of the odometer, the shop's first
	Cards   []cardChoice
	Wishes  []string // in the colours of the powder that is here
	VIN     vinView
	Terms   bool // accepted
	Wrong   map[string]string
	Known   string // the vehicle was here before
	Other   otherwise
	Answers string // the complaint that the job answers, in the customer's words
	Token   string // of this form: however often it is sent, it opens one job
}

type cardChoice struct {
	Name, Title string
	On          bool
}

// vinView is what the VIN's check digit says.
type vinView struct {
	Note    string
	Doubt   bool
	Suggest []vinOffer
}

type vinOffer struct{ VIN, Why string }

// usualTerms is what a customer is asked to accept unless the shop writes
// something else. It is kept with the job, word for word.
const usualTerms = "The parts are taken off, coated and put back as agreed. Photographs are taken at every stage and kept as evidence of this work. " +
	"Faults found during the work are reported to you before anything beyond the order is done. Wheel nuts are to be tightened again after the first kilometres, as explained at handover. " +
	"The record shows what was done; it does not replace the vehicle maker's data or an official inspection."

func (b *Bench) newJob(w http.ResponseWriter, r *http.Request) {
	kept, err := b.Drafts.Get(b.begun(r))
	if err != nil {
		b.Logger.WarnContext(r.Context(), "read a draft", "error", err)
	}
	d := newJobPage{Words: newjob.Words{Terms: usualTerms, Corners: []string{"LF", "RF"}}}
	if kept.Values != nil {
		d = said(kept.Values)
	}
	if id, err := journal.ParseEntryID(r.URL.Query().Get("claim")); err == nil {
		d.answer(b.Live.View(r.Context()), id)
	}
	b.counter(w, r, http.StatusOK, d)
}

// answer makes the page that of a job which answers a complaint about an
// earlier one of the same vehicle.
func (d *newJobPage) answer(s *live.Snapshot, claim journal.EntryID) {
	c := s.Complaint(claim)
	if c == nil || c.Job.Stated == nil {
		return
	}
	about := c.Job.Stated.Vehicle
	d.Words.Claim, d.Words.VIN, d.Words.Plate, d.Words.Looks = c.Opened.ID, about.VIN, about.Plate, about.Looks
}

// begun names the draft of a job that is not opened yet.
func (b *Bench) begun(r *http.Request) draft.Key { return draft.Key{By: b.By(r), Path: "/job/new"} }

// keep keeps what was typed so far.
func (b *Bench) keep(r *http.Request) error {
	_, err := b.Drafts.Change(b.begun(r), func(d *draft.Draft) {
		d.Title, d.Values = "A job to be opened", r.PostForm
	})
	return err
}

// said is the page with what a form holds.
func said(form url.Values) newJobPage {
	text := func(name string) string { return strings.TrimSpace(form.Get(name)) }
	claim, _ := journal.ParseEntryID(text("claim")) // of another page there is none
	return newJobPage{Terms: form.Get("accepted") != "", Token: text("once"), Words: newjob.Words{
		VIN: text("vin"), VINAsIs: form.Get("vin_as_is") != "", Plate: text("plate"), Looks: text("looks"), Odometer: odometer(form),
		Corners: form["corner"], Wish: text("wish"), Ready: text("ready"), Warranty: newjob.Warranty{Months: months(text("months")), Words: text("warranty")}, Excludes: lines(form.Get("excludes")), Claim: claim, Terms: text("terms"), Route: text("route"),
		Customer: journal.Details{Name: text("customer"), Phone: text("phone"), Mail: text("mail"), Address: text("address")},
	}}
}

// lines are the lines of a text that are not empty.
func lines(text string) (list []string) {
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			list = append(list, line)
		}
	}
	return list
}

// Asked are the questions of the warranty, one a line.
func (d newJobPage) Asked() string { return strings.Join(d.Words.Excludes, "\n") }

func (b *Bench) counter(w http.ResponseWriter, r *http.Request, status int, d newJobPage) {
	s := b.Live.View(r.Context())
	d.Corners, d.Units = journal.Corner("").Words(), distances(s.Shop.Units)
	for _, c := range s.Shop.Routes {
		if c.Stated != nil {
			d.Cards = append(d.Cards, cardChoice{Name: string(c.ID), Title: title(c.Stated), On: string(c.ID) == d.Words.Route || d.Words.Route == "" && c.ID == card.Usual})
		}
	}
	for _, lot := range s.Shop.Lots {
		if lot.Stated == nil || lot.Stated.Colour == "" {
			continue
		}
		if wish := "calipers and brackets in " + lot.Stated.Colour; !slices.Contains(d.Wishes, wish) && len(d.Wishes) < mostWishes {
			d.Wishes = append(d.Wishes, wish)
		}
	}
	if d.Words.VIN != "" {
		d.VIN = readVIN(d.Words.VIN)
	}
	for _, query := range []string{d.Words.VIN, d.Words.Plate} {
		if v := before(s, query); v != nil && d.Known == "" {
			d.Known = words.Count(len(v.Jobs), "job") + " of this vehicle are on record"
		}
	}
	if c := s.Complaint(d.Words.Claim); c != nil {
		d.Answers = c.Said()
	}
	if d.Token == "" {
		token, err := uuid.NewRandomFromReader(b.Rand)
		if err != nil {
			b.Logger.ErrorContext(r.Context(), "draw a token", "error", err)
		}
		d.Token = token.String()
	}
	b.show(w, r, status, "newjob", pages.View{Title: "Start a job", Data: d})
}

// mostWishes are the colours that are offered to tap.
const mostWishes = 6

// title is the title line of a published card.
func title(c *journal.RouteCard) string {
	for line := range strings.Lines(c.Text) {
		if t, ok := strings.CutPrefix(line, "title:"); ok {
			return strings.Trim(strings.TrimSpace(t), `"'`)
		}
	}
	return string(c.Route)
}

func readVIN(typed string) vinView {
	r := vin.Check(typed)
	v := vinView{Note: r.Note, Doubt: r.VIN == "" || !r.Fits}
	for _, s := range r.Suggestions {
		v.Suggest = append(v.Suggest, vinOffer{VIN: s.VIN.String(), Why: s.String()})
	}
	return v
}

// before finds a vehicle that was here before.
func before(s *live.Snapshot, query string) *record.Vehicle {
	for _, m := range s.Find(query, mostKnown) {
		if m.By != index.VIN && m.By != index.Plate || m.Job == nil || !m.Whole {
			continue
		}
		if j := s.Job(m.Job.Job); j != nil && j.Vehicle != nil {
			return j.Vehicle
		}
	}
	return nil
}

// mostKnown bounds what is looked through for a vehicle that was here before.
const mostKnown = 20

func (b *Bench) openJob(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseMultipartForm(formMemory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		b.missing(w, r, "What was sent is not a form of this page. Nothing was written.")
		return
	}
	r.PostForm = r.Form
	// What an old page still sends after its job was opened is not a draft.
	if !b.Drafts.Spent(r.PostForm.Get("once")) {
		if err := b.keep(r); err != nil {
			b.Logger.WarnContext(r.Context(), "keep a draft", "error", err)
		}
	}
	d := said(r.PostForm)
	do := r.FormValue("do")
	if r.Header.Get("X-Part") != "" { // a script keeps what is typed
		w.WriteHeader(http.StatusNoContent)
		return
	}
	if take, ok := strings.CutPrefix(do, "vin="); ok {
		d.Words.VIN = take
	}
	if wish, ok := strings.CutPrefix(do, "put:wish="); ok {
		d.Words.Wish = wish
	}
	if do != "open" {
		b.counter(w, r, http.StatusOK, d)
		return
	}
	d.Wrong = map[string]string{}
	if !d.Words.Claim.IsZero() && b.Live.View(r.Context()).Complaint(d.Words.Claim) == nil {
		d.Wrong[""] = "The complaint that this job answers is not on this tablet. Open it from the page of the complaint's job."
		b.counter(w, r, http.StatusUnprocessableEntity, d)
		return
	}
	id, ok := b.write(r, &d)
	if !ok {
		b.counter(w, r, http.StatusUnprocessableEntity, d)
		return
	}
	if err := b.Drafts.Drop(b.begun(r)); err != nil {
		b.Logger.WarnContext(r.Context(), "drop a draft", "error", err)
	}
	to := "/job/" + string(id)
	if st := b.Live.View(r.Context()).Standing(id); st != nil && st.Card != nil { // whose stages are known
		to = pages.NowPath(journal.About(id, "", ""))
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// formMemory is how much of a form is held in memory; there are no files in it.
const formMemory = 1 << 20

// offeredMonths are how long a warranty can be chosen to be; another one is
// stated on the job's page.
func offeredMonths() []int { return []int{6, 12, 24, 36} }

// months reads which of those was chosen.
func months(chosen string) int {
	for _, n := range offeredMonths() {
		if chosen == strconv.Itoa(n) {
			return n
		}
	}
	return 0
}

// Months are how long a warranty can be chosen to be.
func (d newJobPage) Months() []int { return offeredMonths() }

// odometer joins the figure with its unit, unless the unit was typed with it.
func odometer(form url.Values) string {
	typed := strings.TrimSpace(form.Get("odometer"))
	if typed == "" || strings.ContainsFunc(typed, func(c rune) bool { return c >= 'a' && c <= 'z' }) {
		return typed
	}
	return typed + " " + form.Get("odometer.unit")
}

// distances are what an odometer may count in, the shop's own unit first.
func distances(in unit.System) []string {
	own := cmp.Or(in.Distance, unit.Metric().Distance).String()
	others := slices.DeleteFunc(unit.DistanceUnit(0).Words(), func(u string) bool { return u == own })
	return append([]string{own}, others...)
}

// Ticked reports whether a corner is ticked.
func (d newJobPage) Ticked(corner string) bool { return slices.Contains(d.Words.Corners, corner) }
