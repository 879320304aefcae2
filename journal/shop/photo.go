package shop

import (
	"fettlebook/journal"
	"fettlebook/media"
)

// Photo reports whether an entry names the original, and whether it was
// withdrawn.
func (v *View) Photo(ref media.Ref) (named, withdrawn bool) {
	for _, l := range v.Cites(journal.PhotoSubject(ref)) {
		for _, p := range l.Photos {
			if p.Ref == ref && !ref.IsZero() {
				named, withdrawn = true, withdrawn || !p.Withdrawn.IsZero()
			}
		}
	}
	return named, withdrawn
}
