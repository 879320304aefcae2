package paper

import (
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
	if t.facts == nil {
		return nil
	}
	var list []joint
	for _, is := range t.facts.Tightened() {
		one := t.joint(is)
		i := slices.IndexFunc(list, one.same)
		if i < 0 {
			i, list = len(list), append(list, one)
		}
		list[i].at = append(list[i].at, is.At)
		if is.Line != nil {
			list[i].by = append(list[i].by, is.Line)
		}
	}
	return list
}

func (t *told) joint(is facts.Tightened) joint {
	j := joint{name: is.Joint, source: is.Is.Source, value: figure(is.Got), asked: say(is.Asked)}
	switch {
	case is.Wrong:
		j.asked = strong(is.Asked)
	case is.Is.Limit.String() != "":
		j.asked = figure(is.Asked)
	}
	if is.Line != nil {
		j.tool, j.proof = t.tools(is.Line)
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
			says = is.Told()
		} else if is.Certificate != "" || is.ValidTo != "" {
			proof = append(proof, words.Commas(says, words.Fill("certificate %s", is.Certificate), words.Fill("valid to %s", journal.Date(is.ValidTo).Said(t.writing()))))
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
	when := t.writing().Moment
	if len(lines) > 4 {
		when = t.writing().Day
	}
	for _, l := range lines {
		one := Run{Text: t.who(l.By) + ", " + when(time.Time(l.Clocks.Device))}
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
