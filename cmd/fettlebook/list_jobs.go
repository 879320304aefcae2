package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
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
	Corners []journal.Corner `json:"corners,omitempty"`
	Last    journal.Stamp    `json:"last,omitzero"` // time of the last entry, by the clock of its device
	Entries int              `json:"entries"`
	Photos  int              `json:"photos"`
}

// Run lists the jobs; the one that was worked on last stands at the end.
func (c *listJobs) Run(ctx context.Context, t *terminal) error {
	s, err := openShelf(ctx, t)
	if err != nil {
		return err
	}
	rows := []jobRow{}
	for _, j := range s.shop.Jobs {
		if done := j.State == record.HandedBack || j.State == record.Sealed || j.State == record.Struck; c.All || !done {
			rows = append(rows, newJobRow(j))
		}
	}
	slices.SortStableFunc(rows, func(a, b jobRow) int { return time.Time(a.Last).Compare(time.Time(b.Last)) })
	if c.JSON {
		err = printJSON(t.Out, rows)
	} else {
		err = writeJobs(t.Out, rows)
	}
	return errors.Join(err, s.log.Close())
}

func newJobRow(j *record.Job) jobRow {
	r := jobRow{Job: j.ID, State: j.State}
	if j.Stated != nil {
		r.Plate, r.VIN, r.Looks = j.Stated.Vehicle.Plate, j.Stated.Vehicle.VIN, j.Stated.Vehicle.Looks
		r.Corners = slices.Clone(j.Stated.Corners)
	}
	for _, c := range j.Corners {
		if !slices.Contains(r.Corners, c.Corner) {
			r.Corners = append(r.Corners, c.Corner)
		}
	}
	for _, l := range j.Timeline() {
		r.Entries++
		r.Photos += len(l.Photos)
		r.Last = l.Clocks.Device
	}
	return r
}

func writeJobs(out io.Writer, rows []jobRow) error {
	if len(rows) == 0 {
		_, err := fmt.Fprintln(out, "No job is open. `fettlebook open` opens one; `fettlebook jobs --all` lists those that were handed back too.")
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "JOB\tVEHICLE\tSTATE\tCORNERS\tLAST ENTRY\tENTRIES\tPHOTOS")
	for _, r := range rows {
		vehicle := r.Plate
		if vehicle == "" {
			vehicle = r.VIN
		}
		var corners []string
		for _, c := range r.Corners {
			corners = append(corners, string(c))
		}
		cells := []string{string(r.Job), vehicle, string(r.State), strings.Join(corners, " "),
			time.Time(r.Last).Format("2006-01-02 15:04"), strconv.Itoa(r.Entries), strconv.Itoa(r.Photos)}
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
