package shoptest

import (
	"fmt"
	"math/rand/v2"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// person is who does the work in a test.
const person = journal.PersonID("io")

// Drafts makes entries as a bench writes them, torque figures and maskings in
// turn, about 700 bytes each as entries. Every fifth has a thumbnail of the
// given size that does not compress; 0 leaves it out. The same seed gives the
// same drafts.
func Drafts(n, thumbBytes int, seed uint64) ([]journal.Draft, error) {
	r := rand.New(rand.NewPCG(seed, 7))
	list := make([]journal.Draft, n)
	for i := range list {
		note := fmt.Sprintf("entry %d of %d: threads cleaned and dry, seat checked against the light, paint line drawn across head and seat", i+1, n)
		d := journal.Draft{Subject: journal.About("4f7kk2m9", "LF", "caliper"), By: person}
		e := journal.Evidence{Note: note}
		if thumbBytes > 0 && i%5 == 0 {
			thumb := make([]byte, thumbBytes)
			for j := range thumb {
				thumb[j] = byte(r.Uint32())
			}
			d.Thumbs = [][]byte{thumb}
			e.Photos = []journal.Photo{{Ref: media.RefOf(thumb[:len(thumb)/2]), Thumb: media.RefOf(thumb), Role: "banjo bolt with its paint line"}}
		}
		if i%2 == 0 {
			torque, err := unit.Parse[unit.Torque](fmt.Sprintf("%d N.m", 20+i%80))
			if err != nil {
				return nil, err
			}
			d.Data = &journal.Torque{Joint: "banjo bolt at the caliper", Torque: torque, Tool: "tw-1", Marked: true, Evidence: e}
		} else {
			d.Data = &journal.Masking{Plugs: 2, Evidence: e,
				Features: []journal.Item{{What: "piston bore", Count: 1}, {What: "pin bore", Count: 2}, {What: "bleeder seat", Count: 1}}}
		}
		list[i] = d
	}
	return list, nil
}
