package facts

import (
	"slices"

	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// Which of two entries comes first is asked here and nowhere else. An entry
// that is not there comes neither before nor after another.

// Compare is the order of entries: by what their writers had seen.
func Compare(a, b *record.Line) int { return a.Compare(b) }

// Before reports whether a comes before b.
func Before(a, b *record.Line) bool { return a != nil && b != nil && Compare(a, b) < 0 }

// After reports whether a comes after b.
func After(a, b *record.Line) bool { return Before(b, a) }

// Last returns the one that comes last; nil of none.
func Last(lines ...*record.Line) (last *record.Line) {
	for _, l := range lines {
		if last == nil || After(l, last) {
			last = l
		}
	}
	return last
}

// knownAfter reports whether a is known to come after b, in whatever order.
func knownAfter(a, b *record.Line) bool {
	return a != nil && b != nil && a != b && a.Relation(b) == order.After
}

// before and after compare events as their lines.
func (e *Event) before(o *Event) bool { return Before(e.record(), o.record()) }
func (e *Event) after(o *Event) bool  { return o.before(e) }

func (e *Event) record() *record.Line {
	if e == nil {
		return nil
	}
	return e.Line
}

// last returns the last event with data of that type; nil if there is none.
func last[P any](events []Event) (*Event, *P) {
	e := lastOf(events, is[P])
	if e == nil {
		return nil, nil
	}
	return e, any(e.Data).(*P)
}

// first returns the first event with data of that type after another, or of
// all if there is no other.
func first[P any](events []Event, after *Event) (*Event, *P) {
	for i := range events {
		if d, ok := any(events[i].Data).(*P); ok && (after == nil || events[i].after(after)) {
			return &events[i], d
		}
	}
	return nil, nil
}

// lastOf returns the last event that the test wants; nil if there is none.
func lastOf(events []Event, wanted func(Event) bool) *Event {
	for i := range slices.Backward(events) {
		if wanted(events[i]) {
			return &events[i]
		}
	}
	return nil
}

func is[P any](e Event) bool { _, ok := any(e.Data).(*P); return ok }
