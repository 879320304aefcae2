package route

import (
	"fmt"

	"fettlebook/journal"
)

// Aside names a part of which no hold point is asked any more, since it does
// not go back on the vehicle, so that nobody thinks it forgotten.
type Aside struct {
	Subject journal.Subject  `json:"subject"`
	Is      string           `json:"is"` // refused, replaced or scrapped
	By      journal.PersonID `json:"by"`
	Entry   journal.EntryID  `json:"entry"`             // the decision
	Instead journal.Subject  `json:"instead,omitempty"` // what is in its place
	Say     string           `json:"say"`
}

// asides are the parts of the job that were set aside.
func (c *Held) asides() (list []Aside) {
	for _, is := range c.job.Asides() {
		a := Aside{Subject: is.Part, Is: is.Is, By: is.By.By, Entry: is.By.ID, Instead: is.Instead}
		instead := "nothing is in its place yet"
		if a.Instead != "" {
			instead = "in its place is " + string(a.Instead.Part())
		}
		a.Say = fmt.Sprintf("%s, as %s decided on %s; it does not go back, and %s",
			a.Is, c.stock.Shop().Initials(a.By), is.By.Clocks.Device.Said(c.stock.Writing()), instead)
		list = append(list, a)
	}
	return list
}
