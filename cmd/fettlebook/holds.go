package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// standing finds how one job of the folder stands on its card.
func standing(ctx context.Context, t *terminal, typed string) (st *shop.Standing, err error) {
	err = onShelf(ctx, t, func(s *shelf) error {
		id, err := s.job(typed)
		if err != nil {
			return err
		}
		if st = s.view.Standing(id); st == nil {
			return notFound("there is no job %s here", id)
		}
		return nil
	})
	return st, err
}

type showHolds struct {
	Job  string `arg:"" help:"A job’s ID, or its first characters." placeholder:"JOB"`
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
	st, err := standing(ctx, t.plainly(c.JSON), c.Job)
	if err != nil {
		return err
	}
	v := holdsView{Verdicts: st.Verdicts, Ignorance: st.Ignorance()}
	v.MayRelease = v.ReleaseAllowed()
	if c.JSON {
		return printReport(t.Out, "holds", v)
	}
	return writeHolds(t.Out, v, c.All, st.Card)
}

func writeHolds(out io.Writer, v holdsView, all bool, by *card.Card) error {
	fmt.Fprintf(out, "JOB %s, %s — %s\n", v.Job, cardName(v.Verdicts), v.Tally())
	for _, a := range v.Aside {
		fmt.Fprintf(out, "%s: %s\n", a.Subject.Place(), a.Say)
	}
	for _, one := range v.List {
		if all || one.State != route.Met {
			writeHold(out, one, by)
		}
	}
	for _, i := range v.Ignorance {
		fmt.Fprintf(out, "\nUNMET SINCE RELEASE: %s\n", oneLine(i.Say))
	}
	fmt.Fprintf(out, "\nSOURCES: %s\n", card.Sources)
	sentence := "No safety hold forbids handing the vehicle back. The record approves nothing: the maker’s data and the person who signs come first."
	if !v.MayRelease {
		sentence = fmt.Sprintf("The vehicle may not be handed back: %s not met.", words.Count(len(v.Unmet()), "safety hold"))
	}
	_, err := fmt.Fprintf(out, "\n%s\n", sentence)
	return err
}

// writeHoldsOf adds to a record on paper how the hold points of its jobs
// stand: what is broken or in doubt, what was waived, and what was not known at
// handover.
func writeHoldsOf(out io.Writer, jobs []*shop.Standing) {
	for _, st := range jobs {
		v := holdsView{Verdicts: st.Verdicts, Ignorance: st.Ignorance()}
		fmt.Fprintf(out, "\nHOLD POINTS of job %s, %s: %s\n", st.Job.ID, cardName(v.Verdicts), v.Tally())
		if st.Job.Released != nil {
			for _, text := range st.HandedBack().Says() {
				fmt.Fprintf(out, "  %s\n", oneLine(text))
			}
		}
		for _, a := range v.Aside {
			fmt.Fprintf(out, "  %s: %s\n", a.Subject.Place(), a.Say)
		}
		for _, one := range v.List {
			if slices.Contains([]route.State{route.Broken, route.InDoubt, route.Waived}, one.State) {
				// The reason of the hold is on its card.
				fmt.Fprintf(out, "  %-7s %s, %s: %s\n", one.State, one.Subject.Place(), one.Title, oneLine(one.Found()))
			}
		}
		for _, i := range v.Ignorance {
			fmt.Fprintf(out, "  unmet since release: %s\n", oneLine(i.Say))
		}
	}
}

func cardName(v route.Verdicts) string {
	if v.Card == "" {
		return "no route card"
	}
	return fmt.Sprintf("card %s, edition %d", v.Card, v.Edition)
}

func writeHold(out io.Writer, v route.Verdict, by *card.Card) {
	fmt.Fprintf(out, "\n%-7s %s — %s (%s, %s)\n", strings.ToUpper(string(v.State)), v.Subject.Place(), v.Title, v.Class, v.Hold)
	fmt.Fprintf(out, "        %s\n        limit: %s [%s]\n", oneLine(v.Why), oneLine(v.Limit), oneLine(v.Source))
	for _, n := range v.Notes {
		fmt.Fprintf(out, "        note: %s\n", oneLine(n))
	}
	if len(v.Entries) > 0 {
		fmt.Fprintf(out, "        entries relied on: %d\n", len(v.Entries))
	}
	for _, line := range givenBy(v, by) {
		fmt.Fprintf(out, "        → %s\n", line)
	}
}

// givenBy are the command lines by which what a hold lacks would be written.
func givenBy(v route.Verdict, by *card.Card) (list []string) {
	if len(v.Doubtful) == 2 {
		list = append(list, fmt.Sprintf("fettlebook add %s --job %s first=… then=… how=…, of the entries %s and %s", journal.OrderStated, v.Subject.Job(), v.Doubtful[0], v.Doubtful[1]))
	}
	for _, w := range v.Ways(by) {
		switch about := w.About; {
		case w.Kind == "":
		case w.Kind == journal.ProbeLogged:
			list = append(list, "fettlebook log RUN FILE")
		case !slices.Contains(w.Kind.Places(), about.Word()) && slices.Contains(w.Kind.Places(), "run"):
			list = append(list, fmt.Sprintf("fettlebook add %s --subject run/… parts=%s …", w.Kind, about))
		case about.Job() == "":
			list = append(list, fmt.Sprintf("fettlebook add %s %s=%s …", w.Kind, about.Word(), words.Choose(about.Last() == journal.Unnamed, "…", about.Last())))
		default:
			list = append(list, fmt.Sprintf("fettlebook add %s --job %s%s%s …", w.Kind, about.Job(), words.Fill(" --corner %s", string(about.Corner())), words.Fill(" --part %s", string(about.Part()))))
		}
	}
	return list
}

type showNext struct {
	Job  string `arg:"" help:"A job’s ID, or its first characters." placeholder:"JOB"`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run shows what to do next, the most urgent photograph first.
func (c *showNext) Run(ctx context.Context, t *terminal) error {
	st, err := standing(ctx, t.plainly(c.JSON), c.Job)
	if err != nil {
		return err
	}
	if !c.JSON {
		for _, claim := range route.OpenClaims(st.Job) {
			fmt.Fprintf(t.Out, "COMPLAINT\n  ! %s\n", oneLine(claim.Say()))
		}
		for _, recall := range route.OpenRecalls(st.Job) {
			fmt.Fprintf(t.Out, "TELL THE CUSTOMER\n  ! %s\n", oneLine(recall.Say))
		}
		if st.Job.Released == nil && st.Job.Ready != "" {
			fmt.Fprintf(t.Out, "PROMISED FOR %s\n", st.Job.Ready.Said(st.Job.Units().Writing))
		}
	}
	switch {
	case c.JSON:
		err = printReport(t.Out, "next", st.Next)
	case st.Card == nil:
		_, err = fmt.Fprintln(t.Out, "The route card of this job is not here yet; it comes with the shop’s register.")
	case st.Job.Released != nil:
		_, err = fmt.Fprintln(t.Out, "The vehicle was handed back; `fettlebook due` lists the follow-ups.")
	case len(st.Next) == 0:
		_, err = fmt.Fprintf(t.Out, "Nothing is left to do on this card. Hand the vehicle back with: fettlebook add vehicle.released --job %s odometer=…\n", st.Job.ID)
	default:
		if err = writeNext(t.Out, st.Next); err == nil {
			err = writeUntilHandBack(t.Out, st)
		}
	}
	return err
}

// writeUntilHandBack names what stands between the job and its end beside what is to be done
// next: every hold point that is open, and the handover itself.
func writeUntilHandBack(out io.Writer, st *shop.Standing) error {
	places, order := make(map[journal.HoldID][]string), []route.Verdict(nil)
	for _, v := range st.Verdicts.List {
		if v.State != route.Open || slices.ContainsFunc(st.Next, func(todo route.Todo) bool { return todo.Hold == v.Hold && todo.Subject == v.Subject }) {
			continue
		}
		if places[v.Hold] == nil {
			order = append(order, v)
		}
		places[v.Hold] = append(places[v.Hold], v.Subject.Place())
	}
	for i, v := range order {
		if i == 0 {
			fmt.Fprintln(out, "OPEN HOLD POINTS")
		}
		fmt.Fprintf(out, "    %s (%s): %s\n", oneLine(v.Title), v.Class, strings.Join(places[v.Hold], ", "))
	}
	unmet := "no safety hold forbids it"
	if n := len(st.Verdicts.Unmet()); n > 0 {
		unmet = words.Count(n, "safety hold") + " must be met first"
	}
	_, err := fmt.Fprintf(out, "HAND BACK\n    fettlebook add vehicle.released --job %s odometer=…; %s\n", st.Job.ID, unmet)
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
		if _, err := fmt.Fprintf(out, "  %s %-12s %s\n", mark, todo.Subject.Place(), oneLine(todo.Say)); err != nil {
			return err
		}
	}
	return nil
}

type listDue struct {
	All  bool `help:"Show those that are done too, of the jobs that were handed back last."`
	JSON bool `name:"json" help:"Print JSON."`
}

// dueRow is a promise with its job.
type dueRow struct {
	Job   journal.JobID `json:"job"`
	Plate string        `json:"plate,omitzero"`
	route.FollowUp
}

// Run lists what is owed to customers: what was promised for the time after
// handover, and complaints that have to be decided.
func (c *listDue) Run(ctx context.Context, t *terminal) error {
	rows, jobs := []dueRow{}, make(map[journal.JobID]bool)
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) error {
		for _, p := range s.view.Promises(t.Now(), c.All) {
			rows = append(rows, dueRow{Job: p.Job.ID, Plate: p.Job.Stated.Vehicle.Plate, FollowUp: p.FollowUp})
			jobs[p.Job.ID] = true
		}
		return nil
	})
	if err != nil {
		return err
	}
	if len(jobs) >= shop.MostPromised {
		fmt.Fprintf(t.Err, "note: there may be more: only the %d jobs are listed whose follow-ups were due first\n", shop.MostPromised)
	}
	switch {
	case c.JSON:
		return printReport(t.Out, "due", rows)
	case len(rows) == 0:
		_, err = fmt.Fprintln(t.Out, "No follow-up is open.")
	}
	for _, r := range rows {
		_, err = fmt.Fprintf(t.Out, "%-5s %s  %s  %s\n", strings.ToUpper(string(r.State)), r.Job, oneLine(r.Plate), oneLine(r.Say))
	}
	return err
}
