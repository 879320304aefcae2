package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
)

// standing finds how one job of the folder stands on its card: by the index,
// if that holds all and the job is clear, else by all of the journal.
func standing(ctx context.Context, t *terminal, typed string) (*shop.Standing, error) {
	st, err := glance(ctx, t, typed)
	if st != nil || err != nil {
		return st, err
	}
	s, err := openShelf(ctx, t)
	if err != nil {
		return nil, err
	}
	st, err = s.standing(typed)
	return st, errors.Join(err, s.log.Close())
}

func (s *shelf) standing(typed string) (*shop.Standing, error) {
	id, err := s.job(typed)
	if err != nil {
		return nil, err
	}
	st := &shop.Standing{Job: s.shop.Job(id)}
	if st.Job == nil {
		return nil, notFound("there is no job %s here", id)
	}
	if st.Card, err = pinned(st.Job, s.shop); err != nil {
		return nil, err
	}
	held := s.hold(st.Card, st.Job)
	st.Verdicts, st.Ignorance, st.Next = held.Check(), held.Ignorance(), held.Next()
	return st, nil
}

// glance looks by the index for the one job that was typed; nil if the whole
// journal has to be asked.
func glance(ctx context.Context, t *terminal, typed string) (st *shop.Standing, err error) {
	id, err := folder.ReadIdentity(t.Data)
	if err != nil {
		return nil, err
	}
	log, err := sqlitelog.OpenToRead(ctx, folder.DatabasePath(t.Data))
	if err != nil {
		return nil, nil
	}
	defer func() { err = errors.Join(err, log.Close()) }()
	folded, idx, err := folder.Glance(ctx, t.Data, id.Authority(), log)
	if errors.Is(err, folder.ErrBehind) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, idx.Close()) }()
	view := folded.View(ctx)
	st = view.Standing(journal.JobID(strings.ToLower(typed)))
	return st, view.Err()
}

// pinned returns the card of a job, nil while it is not here.
func pinned(job *record.Job, shop *record.Shop) (*card.Card, error) {
	pinned, err := route.Pinned(new(card.Shelf), job, shop)
	if errors.Is(err, card.ErrNoCard) {
		return nil, nil
	}
	return pinned, err
}

// hold holds a job against its card, in every order that is as true.
func (s *shelf) hold(by *card.Card, job *record.Job) *route.Held {
	held := route.Hold(by, job, facts.StockOf(s.shop))
	if by == nil || job.InOneOrder() {
		return held
	}
	for late := range s.book.Lates(nil) {
		shop := late.Shop()
		if other := shop.Job(job.ID); other != nil {
			held.Late(route.Hold(by, other, facts.StockOf(shop)))
		}
	}
	return held
}

type showHolds struct {
	Job  string `arg:"" help:"A job's id, or its beginning." placeholder:"JOB"`
	All  bool   `help:"Show those that are met too."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// holdsView is what is printed as JSON.
type holdsView struct {
	route.Verdicts
	MayRelease bool              `json:"may_release"`
	Ignorance  []route.Ignorance `json:"released_in_ignorance,omitempty"`
}

// Run shows how the hold points of a job stand.
func (c *showHolds) Run(ctx context.Context, t *terminal) error {
	st, err := standing(ctx, t, c.Job)
	if err != nil {
		return err
	}
	v := holdsView{Verdicts: st.Verdicts, Ignorance: st.Ignorance}
	v.MayRelease = v.ReleaseAllowed()
	if c.JSON {
		return printJSON(t.Out, v)
	}
	return writeHolds(t.Out, v, c.All)
}

func writeHolds(out io.Writer, v holdsView, all bool) error {
	fmt.Fprintf(out, "JOB %s, %s — %s\n", v.Job, cardName(v.Verdicts), v.counted())
	for _, one := range v.List {
		if all || one.State != route.Met {
			writeHold(out, one)
		}
	}
	for _, i := range v.Ignorance {
		fmt.Fprintf(out, "\nRELEASED IN IGNORANCE: %s\n", oneLine(i.Say))
	}
	sentence := "No safety hold forbids handing the vehicle back. The record approves nothing: the maker's data and the person who signs come first."
	if !v.MayRelease {
		sentence = fmt.Sprintf("The vehicle may not be handed back: %s not met.", words.Count(len(v.Unmet()), "safety hold"))
	}
	_, err := fmt.Fprintf(out, "\n%s\n", sentence)
	return err
}

// writeHoldsOf adds to a record on paper how the hold points of its jobs
// stand: what is broken or in doubt, what was waived, and what was not known at
// handover.
func (s *shelf) writeHoldsOf(out io.Writer, jobs []*record.Job) error {
	for _, j := range jobs {
		pinned, err := pinned(j, s.shop)
		if err != nil {
			return err
		}
		held := s.hold(pinned, j)
		v := holdsView{Verdicts: held.Check(), Ignorance: held.Ignorance()}
		fmt.Fprintf(out, "\nHOLD POINTS of job %s, %s: %s\n", j.ID, cardName(v.Verdicts), v.counted())
		for _, one := range v.List {
			if slices.Contains([]route.State{route.Broken, route.InDoubt, route.Waived}, one.State) {
				why, _, _ := strings.Cut(oneLine(one.Why), " — ") // the reason of the hold is on its card
				fmt.Fprintf(out, "  %-7s %s, %s: %s\n", one.State, place(one.Subject), one.Title, strings.TrimPrefix(why, "waived "))
			}
		}
		for _, i := range v.Ignorance {
			fmt.Fprintf(out, "  released in ignorance: %s\n", oneLine(i.Say))
		}
	}
	return nil
}

// counted says how many holds stand how. Doubt is rare, and said if there is
// some.
func (v *holdsView) counted() string {
	counts := map[route.State]int{}
	for _, one := range v.List {
		counts[one.State]++
	}
	text := fmt.Sprintf("%d met, %d open, %d broken, %d waived", counts[route.Met], counts[route.Open], counts[route.Broken], counts[route.Waived])
	if n := counts[route.InDoubt]; n > 0 {
		text += fmt.Sprintf(", %d in doubt", n)
	}
	return text
}

func cardName(v route.Verdicts) string {
	if v.Card == "" {
		return "no route card"
	}
	return fmt.Sprintf("card %s, edition %d", v.Card, v.Edition)
}

func writeHold(out io.Writer, v route.Verdict) {
	fmt.Fprintf(out, "\n%-7s %s — %s (%s, %s)\n", strings.ToUpper(string(v.State)), place(v.Subject), v.Title, v.Class, v.Hold)
	fmt.Fprintf(out, "        %s\n        limit: %s [%s]\n", oneLine(v.Why), oneLine(v.Limit), oneLine(v.Source))
	for _, n := range v.Notes {
		fmt.Fprintf(out, "        note: %s\n", oneLine(n))
	}
	if len(v.Entries) > 0 {
		fmt.Fprintf(out, "        entries relied on: %d\n", len(v.Entries))
	}
}

// place says in short what a subject in a job is.
func place(s journal.Subject) string {
	switch {
	case s.Part() != "":
		return string(s.Corner()) + " " + string(s.Part())
	case s.Corner() != "":
		return string(s.Corner())
	default:
		return "vehicle"
	}
}

type showNext struct {
	Job  string `arg:"" help:"A job's id, or its beginning." placeholder:"JOB"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run shows what to do next, the most urgent photograph first.
func (c *showNext) Run(ctx context.Context, t *terminal) error {
	st, err := standing(ctx, t, c.Job)
	if err != nil {
		return err
	}
	switch {
	case c.JSON:
		err = printJSON(t.Out, st.Next)
	case st.Card == nil:
		_, err = fmt.Fprintln(t.Out, "The route card of this job is not here yet; it comes with the shop's register.")
	case st.Job.Released != nil:
		_, err = fmt.Fprintln(t.Out, "The vehicle was handed back; `fettlebook due` lists what was promised for the time after.")
	case len(st.Next) == 0:
		_, err = fmt.Fprintln(t.Out, "Nothing is left to do on this card.")
	default:
		err = writeNext(t.Out, st.Next)
	}
	return err
}

func writeNext(out io.Writer, list []route.Todo) error {
	var task route.Task
	for _, todo := range list {
		if todo.Task != task {
			task = todo.Task
			fmt.Fprintf(out, "%s\n", strings.ToUpper(string(task)))
		}
		mark := " "
		if todo.Urgent {
			mark = "!"
		}
		if _, err := fmt.Fprintf(out, "  %s %-12s %s\n", mark, place(todo.Subject), oneLine(todo.Say)); err != nil {
			return err
		}
	}
	return nil
}

type listDue struct {
	All  bool `help:"Show kept promises too."`
	JSON bool `name:"json" help:"Print JSON."`
}

// dueRow is a promise with its job.
type dueRow struct {
	Job   journal.JobID `json:"job"`
	Plate string        `json:"plate,omitzero"`
	route.FollowUp
}

// Run lists what was promised to customers for the time after handover.
func (c *listDue) Run(ctx context.Context, t *terminal) error {
	s, err := openShelf(ctx, t)
	if err != nil {
		return err
	}
	rows, err := dueRows(s.shop, t.Now(), c.All)
	switch {
	case err != nil:
	case c.JSON:
		err = printJSON(t.Out, rows)
	case len(rows) == 0:
		_, err = fmt.Fprintln(t.Out, "No promise is open.")
	}
	if err == nil && !c.JSON {
		for _, r := range rows {
			fmt.Fprintf(t.Out, "%-5s %s  %s  %s\n", strings.ToUpper(string(r.State)), r.Job, oneLine(r.Plate), oneLine(r.Say))
		}
	}
	return errors.Join(err, s.log.Close())
}

func dueRows(shop *record.Shop, now time.Time, all bool) ([]dueRow, error) {
	rows := []dueRow{}
	for _, j := range shop.Jobs {
		pinned, err := pinned(j, shop)
		if err != nil {
			return nil, err
		}
		for _, f := range route.FollowUps(pinned, j, now) {
			if all || f.State != route.Kept {
				rows = append(rows, dueRow{Job: j.ID, Plate: j.Stated.Vehicle.Plate, FollowUp: f})
			}
		}
	}
	return rows, nil
}
