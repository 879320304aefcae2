package shop

import (
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/recur"
)

// Behind returns the investigation that an edition of a route card came out of,
// as the parts table names the edition; nil if none is named, or it does not
// count.
func (v *View) Behind(edition string) *recur.Reason {
	for _, r := range v.Shop.Routes {
		for _, l := range r.Lines {
			c, ok := l.Effect().(*journal.RouteCard)
			if !ok || c.Because.IsZero() || facts.CardEdition(c.Route, c.Edition) != edition {
				continue
			}
			for _, looked := range v.Line(c.Because) {
				if i, ok := looked.Effect().(*journal.Investigation); ok {
					return &recur.Reason{Entry: looked.ID.String(), Says: i.Matter}
				}
			}
		}
	}
	return nil
}
