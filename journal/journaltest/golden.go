package journaltest

import (
	"fettlebook/journal"
)

// Golden makes the bytes of the kept entry of a draft. They depend on the
// draft only, not on what else is written.
func Golden(d journal.Draft) ([]byte, error) {
	w := NewWatch(Morning())
	a := NewAuthor(Bench, w, "golden "+string(d.Data.Kind()))
	a.Seen = journal.Seen{Size: 412, Root: digest("the hub's log")}
	return a.Encoded(d)
}
