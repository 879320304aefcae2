package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

type showClaim struct {
	Of   []string `arg:"" name:"vin|plate|job|entry" help:"The vehicle’s VIN or plate, or a job; or the ID of the entry of a complaint or of its decision."`
	JSON bool     `name:"json" help:"Print JSON."`
}

// claimView is a complaint as it is printed.
type claimView struct {
	Job       journal.JobID   `json:"job"`
	Plate     string          `json:"plate,omitzero"`
	Complaint claimEntry      `json:"complaint"`
	Open      bool            `json:"open"`
	Coverage  []claimSays     `json:"coverage,omitempty"`
	Questions []claimQuestion `json:"questions,omitempty"`
	Touched   []shop.Touch    `json:"touched,omitempty"`
	Looked    []claimEntry    `json:"investigations,omitempty"`
	Reworks   []claimRework   `json:"reworks,omitempty"`
	Decided   []claimEntry    `json:"decisions,omitempty"`
}

type (
	// claimEntry is an entry that has to do with a complaint.
	claimEntry struct {
		Entry  journal.EntryID  `json:"entry"`
		At     journal.Stamp    `json:"at"` // by the clock of its device
		By     journal.PersonID `json:"by"`
		Says   string           `json:"says"`
		Photos int              `json:"photos,omitzero"`
		Struck bool             `json:"struck,omitzero"`
		Data   journal.Payload  `json:"data"`

		in words.Writing
	}

	// claimSays is a statement with its sentence.
	claimSays struct {
		facts.Statement
		Say string `json:"say"`
	}

	claimQuestion struct {
		Question string             `json:"question"`
		Answer   journal.ClaimReply `json:"answer,omitzero"`
	}

	claimRework struct {
		Job   journal.JobID `json:"job"`
		State record.State  `json:"state"`
	}
)

// Run shows one complaint, or those about a job.
func (c *showClaim) Run(ctx context.Context, t *terminal) error {
	views := []claimView{}
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) error {
		list, err := s.complaints(strings.Join(c.Of, " "))
		if err != nil {
			return err
		}
		for _, one := range list {
			views = append(views, newClaimView(one))
		}
		return nil
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return printReport(t.Out, "claim", views)
	}
	for i, v := range views {
		if i > 0 {
			fmt.Fprintln(t.Out)
		}
		if err := v.write(t.Out); err != nil {
			return err
		}
	}
	return nil
}

// complaints finds those that were meant.
func (s *shelf) complaints(typed string) ([]*shop.Complaint, error) {
	id, is, err := s.entry(typed)
	if is && err == nil && s.view.Complaint(id) != nil || len(typed) == fullID {
		c, err := complaint(s, typed)
		return []*shop.Complaint{c}, err
	}
	of, err := s.find(typed)
	if err != nil {
		return nil, err
	}
	var list []*shop.Complaint
	for _, st := range of.jobs {
		list = append(list, s.view.Complaints(st)...)
	}
	if len(list) == 0 {
		return nil, notFound("no complaint about %s is on record here", oneLine(typed))
	}
	return list, nil
}

// complaint finds one by the id of its entry or of its decision.
func complaint(s *shelf, typed string) (*shop.Complaint, error) {
	id, is, err := s.entry(typed)
	if err != nil {
		return nil, err
	}
	if is {
		if c := s.view.Complaint(id); c != nil {
			return c, nil
		}
	}
	return nil, notFound("there is no complaint with the ID %s here; `fettlebook due` lists those that are open", oneLine(typed))
}

func newClaimView(c *shop.Complaint) claimView {
	v := claimView{Job: c.Job.ID, Complaint: newClaimEntry(c.Opened), Open: c.Open(), Touched: c.Touched}
	if c.Job.Stated != nil {
		v.Plate = c.Job.Stated.Vehicle.Plate
	}
	for _, s := range c.Coverage.Statements {
		v.Coverage = append(v.Coverage, claimSays{s, s.Say()})
	}
	for _, q := range c.Coverage.Questions {
		v.Questions = append(v.Questions, claimQuestion{q, c.Coverage.Answer(q)})
	}
	for _, l := range c.Investigated {
		v.Looked = append(v.Looked, newClaimEntry(l))
	}
	for _, j := range c.Reworks {
		v.Reworks = append(v.Reworks, claimRework{j.ID, j.State})
	}
	for _, l := range c.Settled {
		v.Decided = append(v.Decided, newClaimEntry(l))
	}
	return v
}

func newClaimEntry(l *record.Line) claimEntry {
	return claimEntry{Entry: l.ID, At: l.Clocks.Device, By: l.By, Says: l.Says(), Photos: len(l.Photos), Struck: l.Effect() == nil, Data: l.Payload, in: l.Writing()}
}

// write prints it for people.
func (v claimView) write(out io.Writer) error {
	state := words.Choose(v.Open, "not decided yet", "decided")
	if v.Complaint.Struck {
		state = "struck out"
	}
	fmt.Fprintf(out, "COMPLAINT of %s, job %s — %s\n  %s\n  entry %s\n", v.Complaint.when(), words.Commas(string(v.Job), oneLine(v.Plate)), state, v.Complaint.line(), v.Complaint.Entry)
	if len(v.Coverage) > 0 {
		fmt.Fprintln(out, "WARRANTY")
		counted := ""
		for _, s := range v.Coverage {
			if s.Quantity != facts.WarrantyExcludes {
				fmt.Fprintf(out, "  %s\n", oneLine(words.Sentence(s.Say)))
			}
			if s.Quantity == facts.WarrantyTime {
				counted = s.Source
			}
		}
		if counted != "" {
			fmt.Fprintf(out, "  (%s)\n", words.Sentence(counted))
		}
	}
	if len(v.Questions) > 0 {
		fmt.Fprintln(out, "ASKED BY THE WARRANTY; a yes lies outside it")
		for _, q := range v.Questions {
			fmt.Fprintf(out, "  %s %s\n", oneLine(q.Question), words.Choose(q.Answer == "", "– not answered yet", string(q.Answer)))
		}
	}
	if len(v.Touched) > 0 {
		fmt.Fprintln(out, "TOUCHED THE PARTS OF THIS JOB")
		for _, t := range v.Touched {
			fmt.Fprintf(out, "  %-28s %s\n", oneLine(t.Name), t.Says)
		}
	}
	section(out, "LOOKED INTO", v.Looked)
	if len(v.Reworks) > 0 {
		fmt.Fprintln(out, "WORK THAT ANSWERS IT")
		for _, j := range v.Reworks {
			fmt.Fprintf(out, "  job %s, %s\n", j.Job, j.State)
		}
	}
	section(out, "DECISION", v.Decided)
	if !v.Open {
		return nil
	}
	_, err := fmt.Fprintf(out, "DECISION\n  None yet. What is inside and what is outside stands above; a person decides:\n  fettlebook add claim.decided --job %s of=%s 'decision=…' 'reason=…'\n", v.Job, v.Complaint.Entry)
	return err
}

func section(out io.Writer, title string, entries []claimEntry) {
	if len(entries) == 0 {
		return
	}
	fmt.Fprintln(out, title)
	for _, e := range entries {
		fmt.Fprintf(out, "  %s, %s: %s\n", e.when(), oneLine(string(e.By)), e.line())
	}
}

func (e claimEntry) when() string { return e.At.Said(e.in) }

func (e claimEntry) line() string {
	return oneLine(e.Says) + words.If(e.Photos > 0, ", with "+words.Count(e.Photos, "photograph"))
}
