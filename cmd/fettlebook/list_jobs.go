package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

type listJobs struct {
	All  bool `help:"List those that were handed back too."`
	JSON bool `name:"json" help:"Print JSON."`
}

// jobRow is one job of the list.
type jobRow struct {
	Job     journal.JobID    `json:"job"`
	Plate   string           `json:"plate,omitzero"`
	VIN     string           `json:"vin,omitzero"`
	Looks   string           `json:"looks,omitzero"`
	State   record.State     `json:"state"`
	Ready   journal.Date     `json:"ready,omitzero"` // the day by which it is promised
	Corners []journal.Corner `json:"corners,omitempty"`
	Last    journal.Stamp    `json:"last,omitzero"` // time of the last entry, by the clock of its device
	Entries int              `json:"entries"`
	Photos  int              `json:"photos"`
	Claims  int              `json:"claims,omitzero"`  // complaints that wait for a decision
	Recalls int              `json:"recalls,omitzero"` // or bad checks or surveys, of which the customer was not told yet
}

// Run lists the jobs that are open or have a complaint to be decided; the one
// that was worked on last stands at the end.
func (c *listJobs) Run(ctx context.Context, t *terminal) error {
	states := []record.State{record.Open, record.NotHere}
	if c.All {
		states = append(states, record.HandedBack, record.Sealed, record.Struck)
	}
	rows, in := []jobRow{}, words.Writing{}
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) error {
		in = s.view.Shop.Writing()
		listed := make(map[journal.JobID]bool)
		list := func(j shop.Summary) {
			listed[j.Job] = true
			rows = append(rows, jobRow{Job: j.Job, Plate: j.Plate, VIN: j.VIN, Looks: j.Looks, State: j.State, Ready: j.Ready,
				Corners: j.Corners, Last: j.Last, Entries: j.Entries, Photos: j.Photos, Claims: j.Claims, Recalls: j.Recalls})
		}
		for _, j := range s.view.Summaries(len(s.jobs), states...) {
			list(j)
		}
		for _, j := range s.view.Waiting() {
			if !listed[j.Job] {
				list(j)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(rows, func(a, b jobRow) int {
		return cmp.Or(time.Time(a.Last).Compare(time.Time(b.Last)), cmp.Compare(a.Job, b.Job))
	})
	if c.JSON {
		return printReport(t.Out, "jobs", rows)
	}
	return writeJobs(t.Out, rows, in)
}

func writeJobs(out io.Writer, rows []jobRow, in words.Writing) error {
	if len(rows) == 0 {
		_, err := fmt.Fprintln(out, "No job is open. `fettlebook open` opens one; `fettlebook jobs --all` lists those that were handed back too.")
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "JOB\tVEHICLE\tSTATE\tPROMISED\tCORNERS\tLAST ENTRY\tENTRIES\tPHOTOS")
	for _, r := range rows {
		vehicle := r.Plate
		if vehicle == "" {
			vehicle = r.VIN
		}
		var corners []string
		for _, c := range r.Corners {
			corners = append(corners, string(c))
		}
		state := string(r.State) + words.If(r.Claims > 0, ", "+words.Count(r.Claims, "open complaint")) + words.If(r.Recalls > 0, ", "+words.Count(r.Recalls, "thing")+" to tell the customer")
		cells := []string{string(r.Job), vehicle, state, r.Ready.Said(in), strings.Join(corners, " "),
			in.Moment(time.Time(r.Last)), strconv.Itoa(r.Entries), strconv.Itoa(r.Photos)}
		for i, cell := range cells {
			if cell == "" {
				cell = "–"
			}
			cells[i] = oneLine(cell)
		}
		fmt.Fprintln(w, strings.Join(cells, "\t"))
	}
	return w.Flush()
}
