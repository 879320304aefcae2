package facts

import (
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Tightened is a joint as it is now, as tables of joints have it.
type Tightened struct {
	Is    Statement
	At    journal.Subject // the corner
	Joint string
	Got   string       // what it was tightened to, with all that is known of it: "2 × 105 N·m, then 90°"
	Was   string       // what was written first, if that was corrected
	Asked string       // the limits, or in a sentence why there are none, or why it is not right
	Wrong bool         // it is not right, or not known to be
	Line  *record.Line // what was written of it first; nil if that is not here
}

// Tightened are the joints of all corners as they are now, corner by corner in the
// order in which they were done.
func (w *Job) Tightened() (list []Tightened) {
	for _, c := range w.Corners {
		list = append(list, w.tightened(c)...)
	}
	return list
}

func (w *Job) tightened(c *Site) (list []Tightened) {
	add := func(path string, of Quantity) {
		for _, s := range c.Stated(path, of) {
			list = append(list, w.tight(c.Subject, s))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(w.card.Joints)) {
		add("corner.joints."+name, JointTorque)
	}
	add("corner.screw", ScrewTorque)
	add("corner.wheel", JointTorque)
	slices.SortStableFunc(list, func(a, b Tightened) int {
		if a.Line == nil || b.Line == nil || a.Line == b.Line {
			return 0
		}
		return a.Line.Compare(b.Line)
	})
	return list
}

func (w *Job) tight(at journal.Subject, s Statement) Tightened {
	in, told := w.stock.Writing(), s.Told()
	t := Tightened{Is: s, At: at, Joint: s.Of, Got: told.Figure(), Line: w.entryOf(s), Wrong: s.Met == No || s.Met == NotKnown}
	if s.Quantity == ScrewTorque {
		t.Joint = "bleeder screw"
	}
	if other, ok := w.stock.Units().Shown(s.Figure()); ok && other != s.Figure() {
		t.Got += " (" + in.Number(other) + ")"
	}
	if n := s.Has("bolts"); n != "" && n != "1" {
		t.Got = n + " × " + t.Got
	}
	for _, f := range s.With {
		if f.Name == "turned" {
			t.Got += ", then " + f.Value + f.Unit
		}
	}
	switch limit := told.Limit.String(); {
	case t.Wrong:
		t.Asked = words.Sentence(s.Say())
	case limit != "":
		t.Asked = limit
	case s.Quantity == ScrewTorque:
		t.Asked = "no figure of the maker on record"
	default:
		t.Asked = s.Say()
	}
	if l := t.Line; l != nil && l.Struck != nil {
		if first, ok := l.Payload.(*journal.Torque); ok && first.Torque.String() != s.Figure() {
			t.Was = first.Torque.Written(in)
		}
	}
	return t
}

// entryOf is the entry that a statement rests on first: the one that was written of it.
func (w *Job) entryOf(s Statement) *record.Line {
	for _, id := range s.Entries {
		if lines := w.shop.Line(id); len(lines) == 1 {
			return lines[0]
		}
	}
	return nil
}

// Stated are the statements of a group of facts that are of a quantity; of any
// without one. What is still to come is not among them.
func (s *Site) Stated(path string, of ...Quantity) (list []Statement) {
	g := s.Group(path)
	if g == nil {
		return nil
	}
	for _, one := range g.Statements {
		if one.Sure != NotYet && (len(of) == 0 || slices.Contains(of, one.Quantity)) {
			list = append(list, one)
		}
	}
	return list
}
