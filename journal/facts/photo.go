package facts

import (
	"slices"
	"strings"

	"fettlebook/journal/record"
)

// The roles of photographs that may be taken on their own, beside the entries
// that they belong to.
const (
	EmptyBag     = "empty bag" // stands for small parts counted back in: the journal has no entry of its own for that
	MaskingShown = "masked bores and seats"
	SeatsShown   = "bare seats and faces"
)

// shows reports whether a photograph of an event has a role.
func (e Event) shows(role string) bool {
	return slices.ContainsFunc(e.Line.Photos, func(p record.Photo) bool { return SameRole(p.Role, role) })
}

// SameRole reports whether two roles mean the same: who is asked for "empty
// bag" may write "Bag empty".
func SameRole(a, b string) bool {
	return slices.Equal(wordsOf(a), wordsOf(b))
}

func wordsOf(role string) []string {
	list := strings.Fields(strings.ToLower(role))
	slices.Sort(list)
	return list
}

// photos counts the photographs that show something of the part: with the
// entries that are wanted, on any part of its corner, since who lays them side
// by side takes one of all; or with their role on their own.
func (p *partWork) photos(role string, since func(*partWork) []Event, wanted func(Event) bool) (n int) {
	for _, o := range p.corner.parts {
		for _, e := range since(o) {
			if wanted(e) {
				n += len(e.Line.Photos)
			} else if e.shows(role) {
				n++
			}
		}
	}
	mine := since(p)
	for _, e := range p.corner.events {
		if e.Line.Subject.Part() == "" && e.shows(role) && len(mine) > 0 && !e.before(&mine[0]) {
			n++
		}
	}
	return n
}
