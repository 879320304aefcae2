package counter

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
	Known   known
	ReadyOn string // the day that is promised, as the shop writes it
	Here    bool   // the odometer is to be read next
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
	"The record shows what was done; it does not replace the vehicle maker’s data or an official inspection."

func (c *Counter) newJob(w http.ResponseWriter, r *http.Request) {
	kept, err := c.Drafts.Get(c.begun(r))
	if err != nil {
		c.Logger.WarnContext(r.Context(), "read a draft", "error", err)
	}
	d := newJobPage{Words: newjob.Words{Terms: usualTerms, Corners: []string{"LF", "RF"}}}
	if len(kept.Values) > 0 {
		d = c.said(r, kept.Values)
	}
	if id, err := journal.ParseEntryID(r.URL.Query().Get("claim")); err == nil {
		d.answer(c.Live.View(r.Context()), id)
	}
	c.counter(w, r, http.StatusOK, d)
}

// answer makes the page that of a job which answers a complaint about an
// earlier one of the same vehicle.
func (d *newJobPage) answer(s *live.Snapshot, claim journal.EntryID) {
	of := s.Complaint(claim)
	if of == nil || of.Job.Stated == nil {
		return
	}
	about := of.Job.Stated.Vehicle
	d.Words.Claim, d.Words.VIN, d.Words.Plate, d.Words.Looks = of.Opened.ID, about.VIN, about.Plate, about.Looks
}

// begun names the draft of a job that is not opened yet.
func (c *Counter) begun(r *http.Request) draft.Key { return draft.Key{By: c.By(r), Path: Path} }

// keep keeps what was typed so far.
func (c *Counter) keep(r *http.Request) error {
	said := c.said(r, r.PostForm)
	cards := c.whose(r.Context(), c.Live.View(r.Context()), &said.Words)
	_, err := c.Drafts.Change(c.begun(r), func(d *draft.Draft) {
		d.Title, d.Values, d.Cards = "A job to be opened", c.kept(r.Context(), r.PostForm), cards
	})
	return err
}

// said is the page with what a form holds.
func (c *Counter) said(r *http.Request, form url.Values) newJobPage {
	text := func(name string) string { return strings.TrimSpace(form.Get(name)) }
	claim, _ := journal.ParseEntryID(text("claim")) // of another page there is none
	return newJobPage{Terms: form.Get("accepted") != "", Token: text("once"), Words: newjob.Words{
		VIN: text("vin"), VINAsIs: form.Get("vin_as_is") != "", Plate: text("plate"), Looks: text("looks"), Odometer: c.Live.View(r.Context()).Shop.Writing().Plain(odometer(form)),
		Corners: form["corner"], Wish: text("wish"), Ready: text("ready"), Warranty: newjob.Warranty{Months: months(text("months")), Words: text("warranty")}, Excludes: lines(form.Get("excludes")), Claim: claim, Terms: text("terms"), Route: text("route"),
		Customer: journal.Details{Name: text("customer"), Phone: text("phone"), Mail: text("mail"), Address: text("address")},
		Known:    c.card(r, text("card")),
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

func (c *Counter) counter(w http.ResponseWriter, r *http.Request, status int, d newJobPage) {
	s := c.Live.View(r.Context())
	d.Corners, d.Units = journal.Corner("").Words(), distances(s.Shop.Units)
	for _, of := range s.Shop.Routes {
		if of.Stated != nil {
			d.Cards = append(d.Cards, cardChoice{Name: string(of.ID), Title: title(of.Stated), On: string(of.ID) == d.Words.Route || d.Words.Route == "" && of.ID == card.Usual})
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
	c.know(s, &d)
	if claim := s.Complaint(d.Words.Claim); claim != nil {
		d.Answers = claim.Said()
	}
	if d.Token == "" {
		token, err := uuid.NewRandomFromReader(c.Rand)
		if err != nil {
			c.Logger.ErrorContext(r.Context(), "draw a token", "error", err)
		}
		d.Token = token.String()
	}
	c.shell.Page(w, r, status, "newjob", pages.View{Title: "Start a job", Frame: c.Frame(r, s), Data: d})
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

func (c *Counter) openJob(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseMultipartForm(formMemory); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		c.shell.Say(w, r, http.StatusBadRequest, "Not opened", "What was sent is not a form of this page. Nothing was written.")
		return
	}
	r.PostForm = r.Form
	// What an old page still sends after its job was opened is not a draft.
	if !c.Drafts.Spent(r.PostForm.Get("once")) {
		if err := c.keep(r); err != nil {
			c.Logger.WarnContext(r.Context(), "keep a draft", "error", err)
		}
	}
	d := c.said(r, r.PostForm)
	do := r.FormValue("do")
	if r.Header.Get("X-Part") != "" { // a script keeps what is typed, and shows what is known of it
		c.know(c.Live.View(r.Context()), &d)
		c.shell.Fragment(w, r, "newjob", "newjob-known", d)
		return
	}
	if take, ok := strings.CutPrefix(do, "vin="); ok {
		d.Words.VIN = take
	}
	if wish, ok := strings.CutPrefix(do, "put:wish="); ok {
		d.Words.Wish = wish
	}
	if shown, ok := strings.CutPrefix(do, "put:odometer="); ok {
		d.Words.Odometer = shown
	}
	if key, ok := strings.CutPrefix(do, "take:"); ok {
		d.Here = c.takeOver(r, &d.Words, key)
	}
	if do != "open" {
		c.counter(w, r, http.StatusOK, d)
		return
	}
	d.Wrong = map[string]string{}
	if !d.Words.Claim.IsZero() && c.Live.View(r.Context()).Complaint(d.Words.Claim) == nil {
		d.Wrong[""] = "The complaint that this job answers is not here. Start the job from the complaint that it answers."
		c.counter(w, r, http.StatusUnprocessableEntity, d)
		return
	}
	id, ok := c.write(r, &d)
	if !ok {
		c.counter(w, r, http.StatusUnprocessableEntity, d)
		return
	}
	if err := c.Drafts.Drop(c.begun(r)); err != nil {
		c.Logger.WarnContext(r.Context(), "drop a draft", "error", err)
	}
	to := "/job/" + string(id)
	if c.Works {
		if st := c.Live.View(r.Context()).Standing(id); st != nil && st.Card != nil { // the stages are known
			to = pages.NowPath(journal.About(id, "", ""))
		}
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// card is the card of the customer who was taken over, zero if there is none any more.
func (c *Counter) card(r *http.Request, named string) journal.Card {
	var id journal.CardID
	if err := id.UnmarshalText([]byte(named)); err != nil {
		return journal.Card{}
	}
	card, err := c.Cards.Card(r.Context(), id)
	if err != nil {
		return journal.Card{}
	}
	return card
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

// Amiss are the fields for which the job was not opened.
func (d newJobPage) Amiss() pages.Amiss {
	return pages.AmissAmong(d.Wrong, pages.Field{ID: "plate", Label: "Plate"}, pages.Field{ID: "vin", Label: "VIN"}, pages.Field{ID: "odometer", Label: "Odometer"},
		pages.Field{ID: "corner", Label: "Corners"}, pages.Field{ID: "ready", Label: "Promised for"}, pages.Field{ID: "warranty", Label: "Warranty"}, pages.Field{ID: "excludes", Label: "Asked at a complaint"},
		pages.Field{ID: "route", Label: "Route card"}, pages.Field{ID: "customer", Label: "Name"})
}

// Ticked reports whether a corner is ticked.
func (d newJobPage) Ticked(corner string) bool { return slices.Contains(d.Words.Corners, corner) }
