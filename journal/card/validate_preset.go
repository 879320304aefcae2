package card

import (
	"errors"
	"fmt"

	"fettlebook/journal"
)

// presets checks that each can be stated as it is, and that what it says of
// joints is about joints of the card.
func (c *checking) presets() {
	seen := make(map[string]bool)
	for i, p := range c.card.Presets {
		at := fmt.Sprintf("presets[%d]", i)
		c.need(at+".name", p.Name)
		if seen[p.Name] {
			c.add(at+".name", "two presets have this name; rename one")
		}
		seen[p.Name] = true
		if len(p.Parts) == 0 {
			c.add(at, "say which parts the preset is for")
		}
		if p.Bleeders < 0 {
			c.add(at+".bleeders", "the number of bleeder screws cannot be below 0")
			continue
		}
		for j, b := range p.Joints {
			if c.card.Joint(b.Joint) == "" {
				c.add(fmt.Sprintf("%s.joints[%d].joint", at, j), "the card has no joint of this name")
			}
		}
		stated := journal.Draft{Subject: journal.About("job", "LF", "part"), By: "card", Data: p.MakeUp()}
		var wrong *journal.Invalid
		if errors.As(stated.Valid(), &wrong) {
			for _, problem := range wrong.Problems {
				c.add(at, "%s", problem)
			}
		}
	}
}
