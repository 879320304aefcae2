package record

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// WriteText writes the record of the vehicle with all its jobs, to be read on
// a terminal or a sheet of paper.
func (v *Vehicle) WriteText(w io.Writer, o Options) error { return writeText(w, v, v.Jobs, o) }

// WriteText writes the record of the job.
func (j *Job) WriteText(w io.Writer, o Options) error {
	return writeText(w, j.Vehicle, []*Job{j}, o)
}

func writeText(w io.Writer, v *Vehicle, jobs []*Job, o Options) error {
	t := &sheet{page: page{bufio.NewWriter(w)}, viewing: newViewing(jobs, o), told: make(map[Flag]bool)}
	t.vehicle(v)
	for _, j := range jobs {
		t.job(j)
	}
	for i, r := range runsOf(jobs) {
		if i == 0 {
			t.heading("RUNS that the parts took part in")
		}
		t.run(r)
	}
	t.castings()
	t.legend()
	t.blank()
	t.put(0, Caution)
	if err := t.w.Flush(); err != nil {
		return fmt.Errorf("write the record: %w", err)
	}
	return nil
}

// sheet writes one record as text.
type sheet struct {
	page
	*viewing
	told map[Flag]bool // flags that the legend explains
	day  string        // that stands above the lines now being written
}

func (t *sheet) heading(text string) {
	t.blank()
	t.put(0, text)
}

func (t *sheet) vehicle(v *Vehicle) {
	if v == nil {
		t.put(0, "VEHICLE not known here yet")
		return
	}
	t.hang(0, "VEHICLE  ", words.Commas(append(slices.Clone(v.Plates), v.Looks...)...))
	if v.VIN != "" {
		note := v.VINNote()
		if note == "" {
			note = "the check digit fits"
		}
		t.hang(0, "VIN      ", v.VIN+" — "+note)
	}
	for _, n := range v.Notes {
		t.hang(0, "note     ", n)
	}
}

func (t *sheet) job(j *Job) {
	t.heading(fmt.Sprintf("JOB %s — %s", j.ID, j.State))
	if c := j.Customer; c != nil {
		t.hang(2, "customer  ", fmt.Sprintf("card %s%s", c.Card, words.If(j.Erased, ", erased since")))
	}
	if !j.Odometer.IsZero() {
		t.hang(2, "odometer  ", j.Odometer.Written(t.writing()))
	}
	if j.Ready != "" {
		t.hang(2, "promised  ", "for "+j.Ready.Said(t.writing()))
	}
	if j.Warranty != nil {
		t.hang(2, "warranty  ", j.Warranty.String())
	}
	if s := j.Stated; s != nil {
		if s.Wish != "" {
			t.hang(2, "wanted    ", s.Wish)
		}
		if s.Route != "" {
			t.hang(2, "route     ", fmt.Sprintf("%s edition %d", s.Route, s.Edition))
		}
	}
	t.blank()
	t.lines(2, j.Lines, nil)
	for _, c := range j.Corners {
		t.blank()
		t.put(2, string(c.Corner))
		t.lines(4, c.Lines, nil)
		for _, p := range c.Parts {
			t.put(4, words.Commas(string(p.ID), words.Fill("tag %s", p.Tag), words.Fill("casting number %s", p.Number), words.Fill("pattern %s", p.Pattern), words.Fill("cast mark %s", p.Mark), string(p.Metal)))
			if p.Casting != nil && len(p.Casting.Parts) == 1 {
				for _, n := range p.Casting.Notes {
					t.put(6, n)
				}
			}
			t.lines(6, p.Timeline(), p)
		}
	}
}

// lines writes lines in the order of replay under the days that their clocks
// show. On a part, the lines of a run are one reference to it.
func (t *sheet) lines(indent int, lines []*Line, on *Part) {
	t.day = ""
	var referred []journal.RunID
	for _, l := range t.show(lines) {
		run := l.Subject.Run()
		switch {
		case on == nil || run == "":
			t.line(indent, l)
		case !slices.Contains(referred, run):
			referred = append(referred, run)
			t.dated(indent, l)
			t.hang(indent, stamped(l.Clocks.Device, ""), t.reference(on.Corner.Job.shop.Run(run), on))
		}
	}
}

// reference says what a part had to do with a run.
func (t *sheet) reference(r *Run, p *Part) string {
	if !slices.Contains(r.Parts, p.Subject) {
		return fmt.Sprintf("~~in run %s~~ named there by mistake; see below", r.ID)
	}
	return words.Commas(fmt.Sprintf("in run %s", r.ID), strings.Join(r.What, " and "), words.Count(len(r.Parts), "part")+" of "+words.Count(len(r.Jobs), "job")) + "; see below"
}

func (t *sheet) run(r *Run) {
	view := t.viewing.run(r)
	var mine []string
	for _, s := range view.Parts {
		mine = append(mine, fmt.Sprintf("%s %s", s.Corner(), s.Part()))
	}
	others := words.If(view.OtherParts > 0, fmt.Sprintf("%s of %s", words.Count(view.OtherParts, "other part"), words.Count(view.OtherJobs, "other job")))
	t.put(2, words.Commas(string(r.ID), strings.Join(r.What, " and "), words.Fill("lot %s", words.Commas(r.Lots...)))+words.Fill(": %s", words.Commas(strings.Join(mine, ", "), others)))
	t.lines(4, t.linesOf(r), nil)
}

// castings tells of castings that were here before. What is doubtful of others
// stands with their parts.
func (t *sheet) castings() {
	first := true
	for _, c := range castingsOf(t.jobs) {
		if len(c.Parts) < 2 {
			continue
		}
		if first {
			t.heading("CASTINGS that were here more than once")
			first = false
		}
		view := t.viewing.casting(c)
		var mine []string
		for _, s := range view.Parts {
			mine = append(mine, fmt.Sprintf("%s %s in job %s", s.Corner(), s.Part(), s.Job()))
		}
		others := words.If(view.OtherParts > 0, words.Count(view.OtherParts, "other time")+" on another vehicle")
		t.put(2, c.Name()+": "+words.Commas(strings.Join(mine, ", "), others))
		for _, n := range c.Notes {
			t.put(4, n)
		}
	}
}

// legend explains the marks that stood in the record.
func (t *sheet) legend() {
	if len(t.told) == 0 {
		return
	}
	t.heading("MARKS")
	for _, f := range flags() {
		if t.told[f] {
			t.hang(2, fmt.Sprintf("[%s] ", f), f.Sentence())
		}
	}
}
