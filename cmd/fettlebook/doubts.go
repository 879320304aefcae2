package main

import (
	"fmt"
	"slices"

	"fettlebook/journal"
)

// doubts says which names of an entry the shop's register does not know: a
// slip of the finger, or something that is still to be entered at the hub.
// Where the register states nothing of the sort, it says nothing.
func (c *entryWriter) doubts(e *ready) []string {
	named := journal.Cites(e.Data)
	if e.Data.Kind() != journal.PersonAdded {
		named = append([]journal.Subject{journal.Of("person", string(e.By))}, named...)
	}
	var list []string
	for _, thing := range named {
		known := c.shelf.view.Shop.Stated(thing.Word())
		if len(known) > 0 && thing != e.Subject && !slices.Contains(known, thing) {
			list = append(list, fmt.Sprintf("no %s %s is in the shop’s register", thing.Word(), thing.Last()))
		}
	}
	return list
}
