package pages

import "fettlebook/journal/route"

// Next is what is to be done next and where, in a few words: the same on every page that
// says it.
func Next(t route.Todo) string { return Place(t.Subject) + " · " + NextHead(t) }

// NextHead is Next without the place.
func NextHead(t route.Todo) string {
	switch t.Task {
	case route.Photograph:
		return "photograph " + t.Shows
	case route.TooLate:
		return t.Shows
	case route.PutRight, route.StillOpen:
		return t.Title()
	default:
		return t.Head()
	}
}
