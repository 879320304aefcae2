package record

import (
	"fettlebook/journal"
	"fettlebook/journal/order"
)

// state takes in what somebody says of the order of two entries: it counts if
// one of the two is theirs, if they had seen both, and if nothing is known.
// Of several the last counts. A check of finished brakes is done again rather
// than talked about.
func (f *folding) state(l *Line, s *journal.OrderStatement) {
	for first := range f.ids.named(s.First) {
		for then := range f.ids.named(s.Then) {
			switch {
			case l.By != first.By && l.By != then.By:
			case first.Kind.Is(journal.ChecksBrakes) || then.Kind.Is(journal.ChecksBrakes):
			case l.stands.Relation(first.stands) != order.After || l.stands.Relation(then.stands) != order.After:
			default:
				first.state(then, order.Before)
				then.state(first, order.After)
			}
		}
	}
}

func (l *Line) state(to *Line, r order.Relation) {
	if l.stated == nil {
		l.stated = make(map[*Line]order.Relation)
	}
	l.stated[to] = r
}
