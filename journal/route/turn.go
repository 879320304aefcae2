package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
)

// Wanted is one entry whose turn it is.
type Wanted struct {
	Stage string
	Kind  journal.Kind
	// About is what it is about: several parts where one entry may say it of all
	// that are in it together.
	About []journal.Subject
	Joint string // of a tightening
	Shows string // of a photograph on its own
}

// Turn lists the entries whose turn it is, in the order in which the card has them:
// those that come next, those that put right what is broken, and those that a hold
// of the stage still wants. Of a corner at which nothing was done yet they are those
// with which each part of the card comes off; of joints there is one for each that
// is not tight. What is ahead of these, to be written in one go with them, comes behind them
// in the order in which it gets its turn.
func Turn(by *card.Card, rows []Row, next, ahead []Todo) []Wanted {
	if by == nil {
		return nil
	}
	l := turns{by: by, rows: rows}
	for i := range by.Stages {
		s := &by.Stages[i]
		for _, t := range next {
			if t.Stage == s.Name {
				l.todo(s, t)
			}
		}
	}
	for _, t := range ahead {
		l.todo(by.Stage(t.Stage), t)
	}
	return l.list
}

type turns struct {
	by   *card.Card
	rows []Row
	list []Wanted
}

func (l *turns) todo(s *card.Stage, t Todo) {
	switch {
	case t.Task == WriteDown && t.Kind == "":
		for _, part := range l.by.PartNames() {
			for _, k := range s.Wants {
				l.add(Wanted{Stage: s.Name, Kind: k, About: []journal.Subject{journal.About(t.Subject.Job(), t.Subject.Corner(), part)}})
			}
		}
	case t.Task == Photograph:
		if t.Kind == journal.PhotoTaken || !l.lacking(s, t) {
			l.add(Wanted{Stage: s.Name, Kind: journal.PhotoTaken, About: []journal.Subject{t.Subject}, Shows: t.Shows})
		}
	case t.Kind == "" || t.Task == TooLate || t.State == InDoubt:
	case t.Kind == journal.TorqueApplied:
		joints := l.loose(s, t.Subject)
		for _, joint := range joints {
			l.add(Wanted{Stage: s.Name, Kind: t.Kind, About: []journal.Subject{t.Subject}, Joint: joint})
		}
		if len(joints) == 0 {
			l.add(Wanted{Stage: s.Name, Kind: t.Kind, About: []journal.Subject{t.Subject}})
		}
	default:
		l.add(Wanted{Stage: s.Name, Kind: t.Kind, About: []journal.Subject{t.Subject}})
	}
}

// add adds what is not there yet. What one entry says of several parts is one.
func (l *turns) add(d Wanted) {
	for i := range l.list {
		o := &l.list[i]
		if o.Stage != d.Stage || o.Kind != d.Kind || o.Joint != d.Joint || o.Shows != d.Shows {
			continue
		}
		if slices.Contains(o.About, d.About[0]) {
			return
		}
		if slices.Contains(d.Kind.Places(), "run") {
			o.About = append(o.About, d.About[0])
			return
		}
	}
	l.list = append(l.list, d)
}

// lacking reports whether the entry with which a photograph goes is still to come.
func (l *turns) lacking(s *card.Stage, t Todo) bool {
	q := l.square(s, t.Subject)
	return q != nil && (slices.Contains(q.Lacks, t.Kind) || slices.ContainsFunc(q.Holds, func(v Verdict) bool { return v.State == Open && v.Answer(s) == t.Kind }))
}

// loose lists the joints that the holds of a stage still want tightened at a corner,
// by the names that they have there.
func (l *turns) loose(s *card.Stage, about journal.Subject) (joints []string) {
	q := l.square(s, about)
	if q == nil {
		return nil
	}
	for _, v := range q.Holds {
		for _, is := range v.Statements {
			if is.Quantity == facts.JointTorque && is.Of != "" && is.Met != facts.Yes && v.State != Met && v.State != Waived && !slices.Contains(joints, is.Of) {
				joints = append(joints, is.Of)
			}
		}
	}
	return joints
}

func (l *turns) square(s *card.Stage, about journal.Subject) *Square {
	for _, row := range l.rows {
		if row.Stage.Name != s.Name {
			continue
		}
		for i := range row.Squares {
			if row.Squares[i].Subject == about {
				return &row.Squares[i]
			}
		}
	}
	return nil
}
