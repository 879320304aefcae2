package film

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/sheet"
)

// The scales of cross-cut tests. They run in opposite directions.
const (
	ISO2409    = "ISO 2409"     // 0 is the best class, 5 the worst
	ASTMD3359B = "ASTM D3359 B" // 5B is the best class, 0B the worst
)

// UsualCrossCut is the worst class of ISO 2409 that passes where nothing else
// is agreed: a shop default.
const UsualCrossCut = 1

// CrossCut is the class of a cross-cut test.
type CrossCut struct {
	Class int    // of ISO 2409
	Off   string // how much of the film within the grid came off
	Pass  bool
}

// JudgeCrossCut reads a class by its scale: n B of ASTM D3359 is 5 − n of ISO
// 2409. Errors are of type *Error.
func JudgeCrossCut(scale, class string) (CrossCut, error) {
	classes := []string{"0", "1", "2", "3", "4", "5"}
	switch scale {
	case ISO2409:
	case ASTMD3359B:
		classes = []string{"5B", "4B", "3B", "2B", "1B", "0B"}
	default:
		return CrossCut{}, sheet.Refuse("the scale", scale, fmt.Sprintf("a class means nothing without its scale: write %s or %s", ISO2409, ASTMD3359B))
	}
	n := slices.Index(classes, class)
	if n < 0 {
		return CrossCut{}, sheet.Refuse("the class", class, fmt.Sprintf("the classes of %s, best first, run from %s to %s", scale, classes[0], classes[5]))
	}
	off := []string{"nothing came off", "up to 5 % came off", "5 to 15 % came off", "15 to 35 % came off", "35 to 65 % came off", "more than 65 % came off"}
	return CrossCut{Class: n, Off: off[n], Pass: n <= UsualCrossCut}, nil
}
