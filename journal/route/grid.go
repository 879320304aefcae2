package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// Row is a stage of a card with the squares of a job's vehicle, corners or
// parts that it is for.
type Row struct {
	Stage   *card.Stage
	Squares []Square
	Free    bool // its turn has come for one of them at least
}

// Square is how one stage stands at one place.
type Square struct {
	Subject journal.Subject
	// State is "" while nothing of the stage is there. A stage is open while
	// something of it is there and something is missing.
	State State
	Last  *record.Line   // the entry whose initials stand in the stamp, nil without
	Lines []*record.Line // all that was written of the stage here, in the order of replay
	Lacks []journal.Kind // wanted entries that are not there
	Blind []string       // wanted photographs that are not there, by what they show
	Roles []string       // what a photograph of it may show by now
	Holds []Verdict      // those that concern the place
	Free  bool           // the stages before it are passed: its turn has come
}

// Unasked reports whether nothing of the stage is there, and nothing of it is asked
// of the part. What a corner will need is known only when something is off there.
func (s Square) Unasked() bool {
	return s.Subject.Part() != "" && s.State == "" && len(s.Lacks)+len(s.Blind) == 0 && !slices.ContainsFunc(s.Holds, func(v Verdict) bool { return v.State == Open })
}

// Grid lays a job out on its card: stage by stage, and in each the vehicle,
// its corners, or their parts. A job without its card has no rows.
func (c *Held) Grid() []Row {
	if c.card == nil {
		return nil
	}
	n := &planner{Held: c}
	var rows []Row
	for i := range c.card.Stages {
		row := Row{Stage: &c.card.Stages[i]}
		for _, at := range n.sites(row.Stage) {
			s := n.square(i, at)
			row.Squares = append(row.Squares, s)
			row.Free = row.Free || s.Free
		}
		rows = append(rows, row)
	}
	return rows
}

func (n *planner) square(i int, at *facts.Site) Square {
	stage := &n.card.Stages[i]
	s := Square{Subject: at.Subject, Lacks: n.lacks(stage, at), Free: n.free(i, at.Subject)}
	for _, e := range at.Events() {
		if k := e.Data.Kind(); slices.Contains(stage.Wants, k) || slices.Contains(stage.May, k) {
			s.Lines = append(s.Lines, e.Line)
			s.Last = e.Line
		}
	}
	for i := range stage.Photos {
		if p := &stage.Photos[i]; p.Concerns(at.Scope) {
			s.Roles = append(s.Roles, p.Shows)
		}
	}
	for _, p := range n.pictures(stage, at) {
		if !n.taken(at, stage, p) {
			s.Blind = append(s.Blind, p.Shows)
		}
	}
	waits := len(s.Lacks) > 0 || len(s.Blind) > 0
	for j := range stage.Holds {
		if v := n.judge(point{stage, &stage.Holds[j], at.Subject}, at); v != nil {
			s.Holds = append(s.Holds, *v)
			// What can only be judged later is not a gap in the work of the stage.
			waits = waits || v.State == Open && stage.Holds[j].Once == ""
		}
	}
	s.State = s.stand(waits)
	return s
}

// stand says how the stage stands: what is broken is said first, then what is
// in doubt, then what is missing.
func (s *Square) stand(waits bool) State {
	in := func(state State) bool {
		return slices.ContainsFunc(s.Holds, func(v Verdict) bool { return v.State == state })
	}
	switch {
	case in(Broken):
		return Broken
	case in(InDoubt):
		return InDoubt
	case len(s.Lines) == 0:
		return ""
	case waits:
		return Open
	case in(Waived):
		return Waived
	default:
		return Met
	}
}
