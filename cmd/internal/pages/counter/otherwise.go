package counter

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// otherwise is in what a vehicle that comes in is told otherwise than it is on
// record. A first press shows both; a second one says that it is so.
type otherwise struct {
	Says []string
	Same string // what a second press is of
	Sure bool   // this is that press
}

// compare compares what is typed with the vehicles that are on record by the same
// VIN or plate.
func compare(s *live.Snapshot, is *journal.Job, r *http.Request) (o otherwise) {
	var seen []record.Key
	for _, query := range []string{is.Vehicle.VIN, is.Vehicle.Plate} {
		v := before(s, query)
		if query == "" || v == nil || slices.Contains(seen, v.Key) {
			continue
		}
		seen = append(seen, v.Key)
		for _, d := range v.Differs(is.Vehicle, is.Odometer) {
			o.Says = append(o.Says, differs(v, d))
		}
	}
	sum := sha256.Sum256([]byte(fmt.Sprintf("%q %q %q", is.Vehicle, is.Odometer, o.Says)))
	o.Same = hex.EncodeToString(sum[:12])
	o.Sure = r.PostFormValue("same") == o.Same
	return o
}

// differs says what is on record and what is typed.
func differs(v *record.Vehicle, d record.Difference) string {
	last := v.Jobs[len(v.Jobs)-1]
	was := fmt.Sprintf("On record: %s (job %s, opened on %s).", d.Was, last.ID, last.Opened.Clocks.Device.Said(last.Units().Writing))
	switch d.What {
	case "VIN":
		return fmt.Sprintf("This plate is here with another VIN. On record: %s (job %s). Typed here: %s.", d.Was, last.ID, d.Is)
	case "odometer":
		return words.Sentence("the odometer shows less than before") + " " + was + fmt.Sprintf(" Typed here: %s.", d.Is)
	case "looks":
		return "It looks like another car. " + was + fmt.Sprintf(" Typed here: %s.", d.Is)
	}
	return "This VIN is here with another plate. " + was + fmt.Sprintf(" Typed here: %s.", d.Is)
}
