package card

import (
	"io/fs"
	"path"
	"strings"

	"fettlebook/journal"
)

// SuppliedNames lists the cards that come with the program, by name.
func SuppliedNames() []journal.RouteID {
	files, err := fs.Glob(embedded, "cards/*.yaml")
	if err != nil { // the pattern is well formed
		return nil
	}
	var names []journal.RouteID
	for _, f := range files {
		names = append(names, journal.RouteID(strings.TrimSuffix(path.Base(f), ".yaml")))
	}
	return names
}
