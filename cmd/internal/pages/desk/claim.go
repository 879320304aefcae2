package desk

import (
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/counter"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// claim is a complaint, with how it stands to the warranty and how it ended.
type claim struct {
	Line      readonly.Line
	Path      string
	Open      string // since when it waits, "" once it is settled or struck out
	Says      [][]pages.Bit
	Counted   string // how the months are counted, if they are
	Questions []answered
	Settled   []readonly.Line
	Decide    string // page that settles it, while it is not
	Looked    []readonly.Line
	Reworks   []readonly.Link
	Look      string // page that writes an investigation
	Answer    string // page on which the job that answers it is opened
	Dossier   string // page that builds the file about it
}

// answered is a question of the warranty.
type answered struct{ Question, Answer string }

// claimPage is all about one complaint.
type claimPage struct {
	claim
	Name, Looks, Job string // the job's
	Touched          []share
}

func newClaim(c *shop.Complaint, s *live.Snapshot, now time.Time) claim {
	v := claim{Line: readonly.Dated(c.Opened, s), Path: claimPath(c.Opened.ID), Dossier: claimDossierPath(c.Opened.ID)}
	for _, l := range c.Settled {
		v.Settled = append(v.Settled, readonly.Dated(l, s))
	}
	if c.Open() {
		v.Open = ago(time.Time(c.Opened.Clocks.Device), now)
		v.Decide = readonly.WritePath(journal.ClaimDecided, c.Opened.Subject, "of", c.Opened.ID.String())
	}
	for _, is := range c.Coverage.Statements {
		if is.Quantity != facts.WarrantyExcludes {
			v.Says = append(v.Says, pages.Bits(words.Sentence(is.Say())))
		}
		if is.Quantity == facts.WarrantyTime {
			v.Counted = words.Sentence(is.Source)
		}
	}
	for _, q := range c.Coverage.Questions {
		v.Questions = append(v.Questions, answered{q, words.Choose(c.Coverage.Answer(q) == "", "not answered yet", string(c.Coverage.Answer(q)))})
	}
	for _, l := range c.Investigated {
		v.Looked = append(v.Looked, investigationLine(l, s))
	}
	for _, j := range c.Reworks {
		v.Reworks = append(v.Reworks, readonly.Link{Say: "job " + string(j.ID) + ", " + string(stateOf(s, j)), Path: readonly.JobPath(j.ID)})
	}
	v.Answer = counter.AnswerPath(c.Opened.ID)
	v.Look = readonly.WritePath(journal.InvestigationMade, c.Opened.Subject, "matter", c.Said())
	return v
}

func claimPath(id journal.EntryID) string { return "/claim/" + id.String() }

// answersClaim is the way from a job to the complaint that it answers.
func answersClaim(j *record.Job) (link readonly.Link, ok bool) {
	if j.Stated == nil || j.Stated.Claim.IsZero() {
		return link, false
	}
	return readonly.Link{Say: "the complaint that job " + string(j.ID) + " answers", Path: claimPath(j.Stated.Claim)}, true
}

func (d *Desk) claim(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var c *shop.Complaint
	if id, err := journal.ParseEntryID(r.PathValue("id")); err == nil {
		c = s.Complaint(id)
	}
	if c == nil {
		d.missing(w, r, "There is no such complaint on this machine. It may still be on a tablet that the hub has not heard of.")
		return
	}
	p := claimPage{claim: newClaim(c, s, d.Now()), Name: c.Job.Name(), Looks: c.Job.Looks(), Job: readonly.JobPath(c.Job.ID), Touched: newShares(c.Touched)}
	d.reads(w, r, s, "claim", p.Name+" · complaint", p)
}
