package paper

import (
	"maps"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// joint is a joint as it is now, at all places where the same is to be said of it.
type joint struct {
	name, source string
	value, asked Text
	tool         Text
	proof        []string // what makes its tools proof
	at           []journal.Subject
	by           []*record.Line
}

func (j joint) same(o joint) bool {
	return j.name == o.name && j.source == o.source && slices.Equal(j.value, o.value) && slices.Equal(j.asked, o.asked) && slices.Equal(j.tool, o.tool)
}

// joints is what was tightened: each joint as it is now, in the order in which they were
// done.
func (t *told) joints() []joint {
	var list []joint
	for _, c := range t.corners() {
		for _, s := range t.tightened(c) {
			one := t.joint(s)
			i := slices.IndexFunc(list, one.same)
			if i < 0 {
				i, list = len(list), append(list, one)
			}
			list[i].at = append(list[i].at, c.Subject)
			if l := t.line(s); l != nil {
				list[i].by = append(list[i].by, l)
			}
		}
	}
	return list
}

// tightened are the statements of a corner's joints in the order in which they were
// done.
func (t *told) tightened(c *facts.Site) []facts.Statement {
	var list []facts.Statement
	for _, name := range slices.Sorted(maps.Keys(t.Card.Joints)) {
		list = append(list, stated(c, "corner.joints."+name, facts.JointTorque)...)
	}
	list = append(append(list, stated(c, "corner.screw", facts.ScrewTorque)...), stated(c, "corner.wheel", facts.JointTorque)...)
	slices.SortStableFunc(list, func(a, b facts.Statement) int {
		if a, b := t.line(a), t.line(b); a != nil && b != nil && a != b {
			return a.Compare(b)
		}
		return 0
	})
	return list
}

func (t *told) joint(s facts.Statement) joint {
	j := joint{name: s.Of, source: s.Source}
	if s.Quantity == facts.ScrewTorque {
		j.name = "bleeder screw"
	}
	value := s.Figure()
	if other, ok := t.Stock.Units().Shown(value); ok && other != value {
		value += " (" + other + ")"
	}
	if n := s.Has("bolts"); n != "" && n != "1" {
		value = n + " × " + value
	}
	for _, f := range s.With {
		if f.Name == "turned" {
			value += ", then " + f.Value + f.Unit
		}
	}
	j.value = figure(value)
	switch limit := s.Limit.String(); {
	case s.Met == facts.No || s.Met == facts.NotKnown:
		j.asked = strong(words.Sentence(s.Say()))
	case limit != "":
		j.asked = figure(limit)
	case s.Quantity == facts.ScrewTorque:
		j.asked = say("no figure of the maker on record")
	default:
		j.asked = say(s.Say())
	}
	if l := t.line(s); l != nil {
		j.tool, j.proof = t.tools(l)
	}
	return j
}

// tools are the tools of an entry, and what makes them proof. One of which something is
// doubtful says so in its place.
func (t *told) tools(l *record.Line) (text Text, proof []string) {
	for _, is := range t.Stock.Things(l) {
		if is.Thing.Word() != "tool" {
			continue
		}
		says := is.Thing.Last()
		if is.Doubt != facts.NoDoubt {
			says = is.Say
		} else if is.Certificate != "" || is.ValidTo != "" {
			proof = append(proof, words.Commas(says, words.Fill("certificate %s", is.Certificate), words.Fill("valid to %s", journal.Date(is.ValidTo).Said())))
		}
		text = text.then(Run{Text: words.If(len(text) > 0, "; ") + says})
	}
	return text, proof
}

// jointTable is the joints for people, and below them what makes the tools proof, each
// once.
func (t *told) jointTable(list []joint) []Block {
	table := Table{Title: "Joints as tightened", Head: []string{"Joint", "Tightened to", "Limits", "Printed in", "Tool", "By"}, Shares: []float64{0.22, 0.14, 0.19, 0.17, 0.1, 0.18}}
	var proof []string
	for _, j := range list {
		for _, says := range j.proof {
			if !slices.Contains(proof, says) {
				proof = append(proof, says)
			}
		}
		table.Rows = append(table.Rows, []Text{say(t.places(j.at) + ": " + j.name), j.value, j.asked, say(j.source), j.tool, t.hands(j.by)})
	}
	if len(proof) == 0 {
		return []Block{table}
	}
	slices.Sort(proof)
	return []Block{table, Fine{Text{{"Tools: ", Bold}, {words.Sentence(words.Clauses(proof...)), Plain}}}}
}

// places names corners, each once: "left rear and right rear, 10 joints each".
func (t *told) places(at []journal.Subject) string {
	var names []string
	count := make(map[string]int)
	for _, s := range at {
		name := t.thing(s)
		if count[name]++; count[name] == 1 {
			names = append(names, name)
		}
	}
	for i, name := range names {
		if n := count[name]; n > 1 {
			names[i] = name + " (" + words.Count(n, "time") + ")"
		}
	}
	return words.And(names...)
}

// hands says whose hands it was and when: to the minute of a few, else the days.
func (t *told) hands(lines []*record.Line) (list Text) {
	layout := "2 Jan 2006 15:04"
	if len(lines) > 4 {
		layout = "2 Jan 2006"
	}
	for _, l := range lines {
		one := Run{Text: t.who(l.By) + ", " + time.Time(l.Clocks.Device).Format(layout)}
		if slices.Contains(list, one) {
			continue
		}
		if len(list) > 0 {
			list = append(list, Run{Face: Break})
		}
		list = append(list, one)
	}
	return list
}
