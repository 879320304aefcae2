package route

import "fmt"

// Tally is how many hold points stand how.
type Tally struct{ Met, Waived, Open, Broken, InDoubt int }

// Tally counts the hold points by how they stand.
func (v Verdicts) Tally() (t Tally) {
	for _, one := range v.List {
		switch one.State {
		case Met:
			t.Met++
		case Waived:
			t.Waived++
		case Open:
			t.Open++
		case Broken:
			t.Broken++
		case InDoubt:
			t.InDoubt++
		}
	}
	return t
}

// String is the tally as a line has it. Doubt is rare, and said if there is some.
func (t Tally) String() string {
	text := fmt.Sprintf("%d met, %d open, %d broken, %d waived", t.Met, t.Open, t.Broken, t.Waived)
	if t.InDoubt > 0 {
		text += fmt.Sprintf(", %d in doubt", t.InDoubt)
	}
	return text
}
