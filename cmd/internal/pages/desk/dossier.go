package desk

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/url"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// dossierPage asks what a dossier is to hold.
type dossierPage struct {
	Of      string // "job 4f7kk2m9"
	Build   string // where it is asked for
	Back    string
	Asked   evidence.Asked
	Left    []evidence.Left // what is left out from the beginning
	Broken  bool            // it was refused since something does not fit
	Problem string
}

// The pages on which a dossier is asked for.
func jobDossierPath(id journal.JobID) string { return "/dossier/job/" + url.PathEscape(string(id)) }
func claimDossierPath(id journal.EntryID) string {
	return "/dossier/complaint/" + id.String()
}

// vehicleDossierPath is that of a vehicle; its key has slashes of its own.
func vehicleDossierPath(key record.Key) string { return "/dossier" + readonly.VehiclePath(key) }

// dossierRoutes puts the pages of dossiers on their paths.
func (d *Desk) dossierRoutes(mux pages.Mux) {
	for path, of := range map[string]func(*http.Request, *live.Snapshot) (dossier.Subject, error){
		"/dossier/job/{job}":         d.ofJob,
		"/dossier/complaint/{entry}": d.ofClaim,
		"/dossier/vehicle/{key...}":  d.ofVehicle,
	} {
		mux.HandleFunc("GET "+path, func(w http.ResponseWriter, r *http.Request) { d.askDossier(w, r, of) })
		mux.HandleFunc("POST "+path, func(w http.ResponseWriter, r *http.Request) { d.dossier(w, r, of) })
	}
}

func (d *Desk) ofJob(r *http.Request, s *live.Snapshot) (dossier.Subject, error) {
	id := journal.JobID(r.PathValue("job"))
	if s.Job(id) == nil {
		return dossier.Subject{}, errors.Join(s.Err(), dossier.ErrNothing)
	}
	return dossier.OfJob(id), nil
}

func (d *Desk) ofClaim(r *http.Request, s *live.Snapshot) (dossier.Subject, error) {
	id, err := journal.ParseEntryID(r.PathValue("entry"))
	if err != nil {
		return dossier.Subject{}, dossier.ErrNothing
	}
	return dossier.OfClaim(r.Context(), s, d.Cards, id)
}

func (d *Desk) ofVehicle(r *http.Request, s *live.Snapshot) (dossier.Subject, error) {
	v, _ := s.Vehicle(record.Key(r.PathValue("key")))
	if v == nil {
		return dossier.Subject{}, errors.Join(s.Err(), dossier.ErrNothing)
	}
	return dossier.OfVehicle(r.Context(), s, d.Cards, v, "")
}

func (d *Desk) askDossier(w http.ResponseWriter, r *http.Request, find func(*http.Request, *live.Snapshot) (dossier.Subject, error)) {
	s := d.Live.View(r.Context())
	if of, ok := d.subject(w, r, s, find); ok {
		d.showDossier(w, r, http.StatusOK, newDossierPage(r, of, evidence.Asked{Photos: evidence.Originals}))
	}
}

// subject finds what a dossier is asked for, or says that it is not here.
func (d *Desk) subject(w http.ResponseWriter, r *http.Request, s *live.Snapshot, find func(*http.Request, *live.Snapshot) (dossier.Subject, error)) (dossier.Subject, bool) {
	of, err := find(r, s)
	switch {
	case errors.Is(err, dossier.ErrNothing):
		d.missing(w, r, "There is nothing of that name here of which a dossier could be made.")
	case err != nil:
		d.noDossier(w, r, err)
	}
	return of, err == nil
}

func newDossierPage(r *http.Request, of dossier.Subject, asked evidence.Asked) dossierPage {
	p := dossierPage{Build: r.URL.EscapedPath(), Back: readonly.JobPath(of.Jobs[0]), Asked: asked, Left: of.Left}
	var jobs []string
	for _, j := range of.Jobs {
		jobs = append(jobs, string(j))
	}
	p.Of = words.Choose(len(jobs) == 1, "job ", "the jobs ") + words.And(jobs...)
	switch {
	case of.Vehicle != "":
		p.Of = "the vehicle " + of.Vehicle + " (" + p.Of + ")"
	case !of.Claim.IsZero():
		p.Of = "a complaint (" + p.Of + ")"
	}
	return p
}

func (d *Desk) showDossier(w http.ResponseWriter, r *http.Request, status int, p dossierPage) {
	d.asks(w, r, status, "dossier", "A dossier", p)
}

// dossier builds a dossier straight into the answer. The browser shows how far
// it is; whoever leaves the page, or stops it there, ends the build.
func (d *Desk) dossier(w http.ResponseWriter, r *http.Request, find func(*http.Request, *live.Snapshot) (dossier.Subject, error)) {
	s := d.Live.View(r.Context())
	of, ok := d.subject(w, r, s, find)
	if !ok {
		return
	}
	asked := dossier.Asked{Broken: r.FormValue("broken") != "", Asked: evidence.Asked{Photos: evidence.PhotoChoice(r.FormValue("photos")),
		Location: r.FormValue("location") != "", Names: r.FormValue("names") != "", Customer: r.FormValue("customer") != ""}}
	switch asked.Photos {
	case evidence.Originals, evidence.Thumbnails, evidence.NoPhotos:
	default:
		asked.Photos = evidence.Originals
	}
	select { // one at a time: pictures in the making take much memory
	case d.building <- struct{}{}:
		defer func() { <-d.building }()
	case <-r.Context().Done():
		return
	}
	out := &download{w: w, name: dossier.Name(of.About) + ".zip"}
	_, err := d.Dossier.Build(r.Context(), s, of, asked, out)
	if err == nil || r.Context().Err() != nil {
		return
	}
	if out.begun {
		d.Logger.ErrorContext(r.Context(), "build a dossier", "of", out.name, "error", err)
		panic(http.ErrAbortHandler) // so that the browser does not take a half file for a whole one
	}
	p := newDossierPage(r, of, asked.Asked)
	var broken *dossier.Broken
	var large *dossier.TooLarge
	switch {
	case errors.As(err, &broken):
		p.Broken, p.Problem = true, broken.Sentence
	case errors.As(err, &large):
		p.Problem = large.Sentence
	default:
		d.noDossier(w, r, err)
		return
	}
	d.showDossier(w, r, http.StatusConflict, p)
}

func (d *Desk) noDossier(w http.ResponseWriter, r *http.Request, err error) {
	d.Logger.ErrorContext(r.Context(), "build a dossier", "path", r.URL.Path, "error", err)
	d.asks(w, r, http.StatusInternalServerError, "notice", "No dossier", notice{Title: "No dossier",
		Sentence: "The dossier could not be built. Nothing is lost: the record has all of it. The log on this machine says why."})
}

// download is a file on its way to a browser. Nothing is sent before the first
// byte is there, so what is refused before that is said on a page.
type download struct {
	w     http.ResponseWriter
	name  string
	begun bool
}

// stall is how long a browser may take nothing before it counts as gone. The
// deadline is the network's, whatever clock the shop goes by.
const stall = time.Minute

func (f *download) Write(p []byte) (int, error) {
	if !f.begun {
		f.begun = true
		h := f.w.Header()
		h.Set("Content-Type", "application/zip")
		h.Set("Content-Disposition", `attachment; filename="`+f.name+`"`)
		h.Set("Cache-Control", "no-store")
	}
	if err := http.NewResponseController(f.w).SetWriteDeadline(time.Now().Add(stall)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return 0, err
	}
	return f.w.Write(p)
}

// Dossiers builds the files that leave the shop.
type Dossiers interface {
	Build(ctx context.Context, s *live.Snapshot, of dossier.Subject, asked dossier.Asked, w io.Writer) (*evidence.Dossier, error)
}
