package desk

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// vehiclePage is the record of a vehicle, or of one of its jobs.
type vehiclePage struct {
	Name, Looks, VIN, VINNote string
	Notes                     []string
	Jobs                      []jobView       // the newest first
	Others                    []readonly.Link // its other jobs, and the vehicle itself
	Shares, Alone             []share         // what other vehicles had too, and what they had not
	Castings                  []casting
	Customers                 []customer
	Claims                    []claim
	Dossier                   string // page that builds one of the vehicle, of several jobs
	Unfold                    string // path of the same with nothing folded, to print
	Whole                     bool   // that is what was asked for
	Tell, Complain            string // pages that write what the customer was told, or said
	Promise, Investigate      string // and what was promised, or looked into
}

// jobView is the record of one job.
type jobView struct {
	*live.Standing
	ID       journal.JobID
	Folded   bool
	Since    string
	Wish     string
	Facts    []readonly.Fact
	Proof    []readonly.Fact // by what it was measured, and its seal
	Strip    strip
	Tally    route.Tally
	Of       journal.JobID // the job, if the page shows several
	Told     []holdRow     // hold points that are broken or were waived
	Unmet    int           // safety holds that are not met
	Holds    string
	Release  string // page that hands the vehicle back, if nothing forbids it
	Dossier  string // page that builds the file that others can check
	Receipt  string // what the customer gets, once it was handed back
	Coats    string // its rows of the parts table
	Opening  readonly.Opening
	Timeline readonly.Timeline
	Words    bool   // what follows in words is unfolded
	Entries  string // how many there are
}

func (d *Desk) vehicle(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	key := record.Key(r.PathValue("key"))
	if v, all := s.Vehicle(key); v != nil {
		var jobs []*record.Job
		for _, st := range all {
			jobs = append(jobs, st.Job)
		}
		p := d.newVehiclePage(r, s, v, jobs, readonly.VehiclePath(v.Key))
		d.reads(w, r, s, "vehicle", p.Name+" · vehicle", p)
		return
	}
	d.missing(w, r, "No vehicle on this machine is known by that. Search for its plate, its VIN or a casting number; a vehicle known by its plate may now be listed under its VIN.")
}

func (d *Desk) job(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	j := s.Job(journal.JobID(r.PathValue("job")))
	if j == nil {
		d.missing(w, r, "There is no job "+r.PathValue("job")+" here. It may still be on a tablet that the hub has not heard of.")
		return
	}
	p := d.newVehiclePage(r, s, j.Vehicle, []*record.Job{j}, readonly.JobPath(j.ID))
	d.reads(w, r, s, "vehicle", p.Name+" · job "+string(j.ID), p)
}

// newVehiclePage lays out some jobs of a vehicle, which is nil for a job that
// is not opened here yet.
func (d *Desk) newVehiclePage(r *http.Request, s *live.Snapshot, v *record.Vehicle, jobs []*record.Job, base string) vehiclePage {
	f := readonly.FilterOf(r)
	last := jobs[len(jobs)-1]
	p := vehiclePage{Name: last.Name(), Looks: last.Looks(), Unfold: base + "?all=1", Whole: f.Whole}
	if v != nil {
		p.Name, p.Looks, p.VIN, p.VINNote, p.Notes = readonly.Name(v), strings.Join(v.Looks, ", "), v.VIN, v.VINNote(), v.Notes
		if len(jobs) < len(v.Jobs) || len(v.Jobs) == 1 {
			p.Others = append(p.Others, readonly.Link{Say: "the vehicle", Path: readonly.VehiclePath(v.Key)})
		}
		for _, j := range v.Jobs {
			if path := readonly.JobPath(j.ID); path != base {
				p.Others = append(p.Others, readonly.Link{Say: fmt.Sprintf("job %s, %s", j.ID, stateOf(s, j)), Path: path})
			}
		}
	}
	for i := len(jobs) - 1; i >= 0; i-- {
		one := newJobView(s, s.Standing(jobs[i].ID), f, base)
		one.Folded = i < len(jobs)-1 && !f.Whole
		if len(jobs) > 1 {
			one.Of = one.ID
		}
		p.Jobs = append(p.Jobs, one)
		if c := jobs[i].Customer; c != nil {
			p.addCustomer(d.customer(r.Context(), c.Card))
		}
		for _, c := range s.Complaints(s.Standing(jobs[i].ID)) {
			one := newClaim(c, s, d.Now())
			if n := len(p.Claims) - 1; n >= 0 && p.Claims[n].Counted == one.Counted {
				p.Claims[n].Counted = "" // it is said once, under the last
			}
			p.Claims = append(p.Claims, one)
		}
		if link, ok := answersClaim(jobs[i]); ok {
			p.Others = append(p.Others, link)
		}
	}
	for _, one := range d.shares(s, jobs) {
		if one.vehicles > 1 {
			p.Shares = append(p.Shares, one)
		} else {
			p.Alone = append(p.Alone, one)
		}
	}
	if v != nil && len(jobs) > 1 {
		p.Dossier = vehicleDossierPath(v.Key)
	}
	p.Castings = castings(jobs)
	about := journal.About(last.ID, "", "")
	p.Tell, p.Complain = readonly.WritePath(journal.ContactMade, about), readonly.WritePath(journal.ClaimOpened, about)
	p.Promise, p.Investigate = readonly.WritePath(journal.JobPromised, about), readonly.WritePath(journal.InvestigationMade, about)
	return p
}

// stateOf is how far another job of the vehicle is.
func stateOf(s *live.Snapshot, j *record.Job) record.State {
	if of, ok := s.Summary(j.ID); ok {
		return of.State
	}
	return j.State
}

// holdRow is a hold point in short: why it stands so, without the reason for it.
type holdRow struct {
	readonly.Verdict
	Short []pages.Bit
}

func newJobView(s *live.Snapshot, st *live.Standing, f readonly.Filter, base string) jobView {
	j := st.Job
	v := jobView{Standing: st, ID: j.ID, Dossier: jobDossierPath(j.ID), Coats: coatsPath(parts.Job, string(j.ID)), Strip: newStrip(st.Rows), Tally: st.Verdicts.Tally(), Holds: "/holds/" + string(j.ID), Opening: readonly.NewOpening(s, st, base), Timeline: readonly.NewTimeline(s, st, f, base)}
	v.Words, v.Entries = v.Timeline.Asked || v.Opening.IsZero(), words.Count(v.Timeline.All, "entry")
	if j.Opened != nil {
		v.Since = "opened " + j.Units().Writing.Day(time.Time(j.Opened.Clocks.Device))
		v.Wish = j.Stated.Wish
	}
	if j.Released != nil {
		v.Receipt = receiptPath(j.ID)
		v.Since += ", handed back " + j.Units().Writing.Day(time.Time(j.Released.Clocks.Device))
	}
	if j.Ready != "" {
		v.Facts = append(v.Facts, readonly.Fact{Name: "Promised for", Says: j.Ready.Said(j.Units().Writing)})
	}
	if j.Warranty != nil {
		v.Facts = append(v.Facts, readonly.Fact{Name: "Warranty", Says: j.Warranty.String()})
	}
	if !j.Odometer.IsZero() {
		v.Facts = append(v.Facts, readonly.Fact{Name: "Odometer", Says: j.Odometer.String()})
	}
	if st.Card != nil {
		v.Proof = append(v.Proof, readonly.Fact{Name: "Route card", Says: fmt.Sprintf("%s, edition %d", st.Card.Title, st.Card.Edition)})
	}
	if seal := s.Sealing(j); seal != nil {
		v.Proof = append(v.Proof, readonly.Fact{Name: "Sealed", Says: fmt.Sprintf("%s. %s (hash %s)", j.Units().Writing.Zoned(time.Time(j.Sealed.Clocks.Device)), seal.Says(), seal.Seal.Root)})
	}
	v.Unmet = len(st.Verdicts.Unmet())
	for _, one := range st.Verdicts.List {
		if slices.Contains([]route.State{route.Broken, route.InDoubt, route.Waived}, one.State) {
			v.Told = append(v.Told, holdRow{readonly.NewVerdict(one, st.Card, s), pages.Bits(words.Capital(one.Found()))})
		}
	}
	slices.SortStableFunc(v.Told, func(a, b holdRow) int { return strings.Compare(string(a.State), string(b.State)) }) // broken first
	if j.State == record.Open && st.Verdicts.ReleaseAllowed() {
		v.Release = readonly.WritePath(journal.VehicleReleased, journal.About(j.ID, "", ""))
	}
	return v
}
