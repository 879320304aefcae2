package desk

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// promiseRow is a promise to a customer.
type promiseRow struct {
	Plate, Path, Looks string
	State              route.Progress
	Title, Say, Told   string
	Source             string
	Default            bool            // that is the shop's default
	By                 *readonly.Link  // the entry that kept it
	Tries              []readonly.Link // contacts that did not
	Keep               []readonly.Link // pages on which it is kept
	Age                string          // of a complaint
}

func newPromiseRow(p live.Promise, s *live.Snapshot) promiseRow {
	row := promiseRow{Plate: p.Job.Name(), Path: readonly.JobPath(p.Job.ID), Looks: p.Job.Looks(), State: p.State, Title: p.Title, Say: p.Say, Told: p.Told, Source: p.Source, Default: card.ByDefault(p.Source)}
	if !p.By.IsZero() {
		by := readonly.CiteEntry(p.By, s)
		row.By = &by
	}
	for _, id := range p.Tries {
		row.Tries = append(row.Tries, readonly.CiteEntry(id, s))
	}
	if p.State == route.Kept {
		return row
	}
	about := journal.About(p.Job.ID, "", "")
	if !p.Claim.IsZero() {
		row.Keep = []readonly.Link{{Say: "How it stands", Path: claimPath(p.Claim)}, {Say: "Decide it", Path: readonly.WritePath(journal.ClaimDecided, about, "of", p.Claim.String())}}
		return row
	}
	rang := func(say string, pairs ...string) {
		pairs = append([]string{"how", string(journal.ByTelephone), "about", p.About}, pairs...)
		row.Keep = append(row.Keep, readonly.Link{Say: say, Path: readonly.WritePath(journal.ContactMade, about, pairs...)})
	}
	if !p.Recall.IsZero() {
		rang("Rang: reached", "reached", "yes", "of", p.Recall.String())
		rang("No answer", "reached", "no", "of", p.Recall.String())
		return row
	}
	for _, kind := range keeping(p, s) {
		if kind == journal.ContactMade {
			for _, answer := range p.Answers {
				rang("Rang: "+answer, "reached", "yes", "answer", answer, "keeps", p.Name)
			}
			if len(p.Answers) == 0 {
				rang("Rang", "reached", "yes", "keeps", p.Name)
			}
			rang("No answer", "reached", "no", "keeps", p.Name)
			continue
		}
		row.Keep = append(row.Keep, readonly.Link{Say: words.Capital(kind.About()), Path: readonly.WritePath(kind, about)})
	}
	return row
}

// keeping lists the kinds of entry that keep a promise, what is written at the
// telephone first.
func keeping(p live.Promise, s *live.Snapshot) []journal.Kind {
	card := s.Standing(p.Job.ID).Card
	if card == nil {
		return nil
	}
	for _, promised := range card.FollowUps {
		if promised.Name == p.Name {
			kinds := slices.Clone(promised.Kept)
			slices.SortStableFunc(kinds, func(a, b journal.Kind) int { return order(a) - order(b) })
			return kinds
		}
	}
	return nil
}

func order(k journal.Kind) int {
	if k == journal.ContactMade {
		return 0
	}
	return 1
}

// promises is what was promised for the time after handover.
type promises struct {
	Due, Open, Kept  []promiseRow
	Default          bool   // one names the shop's default as its source
	From, To, Jobs   int    // vehicles on this page, of all
	Earlier, Further string // paths of the pages before and after
}

// Vehicles on a page: with open follow-ups, and with done ones.
const (
	owedShown = 40
	keptShown = 20
)

func (d *Desk) due(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	now := d.Now()
	page, err := strconv.Atoi(r.URL.Query().Get("page"))
	if err != nil || page < 1 {
		page = 1
	}
	owed, jobs := s.Owed(now, (page-1)*owedShown, owedShown)
	if len(owed) == 0 && page > 1 {
		http.Redirect(w, r, "/due", http.StatusSeeOther) // they were done meanwhile
		return
	}
	list := promises{From: (page-1)*owedShown + 1, To: min(page*owedShown, jobs), Jobs: jobs}
	if page > 1 {
		list.Earlier = fmt.Sprintf("/due?page=%d", page-1)
	}
	if list.To < jobs {
		list.Further = fmt.Sprintf("/due?page=%d", page+1)
	}
	if page == 1 {
		owed = append(owed, s.KeptLately(now, keptShown)...)
	}
	for _, p := range owed {
		row := newPromiseRow(p, s)
		list.Default = list.Default || row.Default
		switch p.State {
		case route.Due:
			list.Due = append(list.Due, row)
		case route.Kept:
			list.Kept = append(list.Kept, row)
		default:
			list.Open = append(list.Open, row)
		}
	}
	slices.Reverse(list.Kept) // the newest first
	d.reads(w, r, s, "due", "Follow-ups", list)
}
