package parts

import (
	"strings"

	"fettlebook/journal"
)

const defectPrefix = "defect_"

// Defect names the column of a look of defects: "defect_orange_peel".
func Defect(look string) Name { return Name(defectPrefix + strings.ReplaceAll(look, " ", "_")) }

// Look returns the look whose column it is, and false for other columns.
func (n Name) Look() (string, bool) {
	look, ok := strings.CutPrefix(string(n), defectPrefix)
	return strings.ReplaceAll(look, "_", " "), ok
}

// looks lists what defects can look like, in the order of the journal.
func looks() []string { return journal.Look("").Words() }

// Defects lists what was seen on the coat of a row, and whether anybody looked at
// it at all.
func (t *Table) Defects(row int) (seen []string, looked bool) {
	for _, c := range t.columns {
		if look, ok := c.Name.Look(); ok && t.At(row, c.Name).Is() {
			seen = append(seen, look)
		}
	}
	return seen, t.At(row, Looked).Is()
}
