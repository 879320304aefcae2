package trace

import (
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// linesOf returns the entries that tell of a part with those of its corner and
// of its casting's other lives, or of a whole job.
func linesOf(j *record.Job, of journal.Subject) []*record.Line {
	if of.Part() == "" {
		return j.Timeline()
	}
	p, c := j.Part(of)
	if p == nil {
		return nil
	}
	lines := p.Timeline()
	if p.Casting != nil {
		lines = p.Casting.Timeline()
	}
	lines = append(lines, c.Lines...)
	slices.SortStableFunc(lines, facts.Compare)
	return lines
}

// left gathers what touched something.
type left struct {
	st   *shop.Standing
	of   journal.Subject   // which is not on its own left
	mine []journal.Subject // what touched none of these is not on it either; nil asks for nothing
	list []*Node
}

func newLeft(st *shop.Standing, of journal.Subject) *left {
	l := &left{st: st, of: of}
	switch part, _ := st.Job.Part(of); {
	case part != nil && part.Casting != nil:
		for _, life := range part.Casting.Parts {
			l.mine = append(l.mine, life.Subject)
		}
	case of.Job() != "":
		l.mine = []journal.Subject{of}
	}
	return l
}

// touches reports whether what an entry tells now is about what is traced: a rack that
// was corrected may have hung other parts.
func (l *left) touches(data journal.Payload) bool {
	rack := journal.Hung(data)
	return len(rack) == 0 || l.mine == nil || slices.ContainsFunc(rack, func(part journal.Subject) bool {
		return slices.ContainsFunc(l.mine, func(mine journal.Subject) bool { return facts.Covers(mine, part) })
	})
}

// take takes in what an entry tells: its run, the things that it used, the
// machines and the air, and who wrote it.
func (l *left) take(line *record.Line) {
	data := line.Effect()
	if data == nil || !l.touches(data) {
		return
	}
	if run := line.Subject.Run(); run != "" {
		l.put(line, journal.Of("run", string(run)), line.Says())
	}
	for _, t := range l.st.Stock.Things(line) {
		if t.Thing.Word() != "spec" { // a figure touches nothing
			l.put(line, t.Thing, t.Told())
		}
	}
	for _, s := range l.st.Stock.Entry(line).Statements {
		switch s.Quantity {
		case facts.Equipment:
			l.put(line, journal.Of("tool", s.Of), s.Say())
		case facts.DewMargin:
			l.put(line, "", s.Say())
		}
	}
	if l.st.Stock.Shop().Person(line.By) != nil { // and not the hub
		l.put(line, journal.Of("person", string(line.By)), line.Kind.About())
	}
}

// put notes that something had to do with an entry, and what was known of it.
func (l *left) put(line *record.Line, of journal.Subject, known string) {
	at := time.Time(line.Clocks.Device)
	if of == l.of {
		return
	}
	i := slices.IndexFunc(l.list, func(n *Node) bool { return n.Of == of && (of != "" || slices.Contains(n.By, line.ID)) })
	if i < 0 {
		i = len(l.list)
		n := &Node{Of: of, What: "air", Name: "Air in the room", At: at, use: line}
		if of != "" {
			n.What, n.Name = called(of, l.st.Stock)
		}
		l.list = append(l.list, n)
	}
	n := l.list[i]
	n.Until = at
	if !slices.Contains(n.By, line.ID) {
		n.By = append(n.By, line.ID)
	}
	if known != "" && !slices.Contains(n.Known, known) {
		n.Known = append(n.Known, known)
	}
}

func (l *left) sorted() []*Node {
	slices.SortStableFunc(l.list, func(a, b *Node) int { return a.At.Compare(b.At) })
	return l.list
}

// called is what people call a thing, a run or a person.
func called(of journal.Subject, stock *facts.Stock) (what, name string) {
	switch of.Word() {
	case "run":
		return "run", "Run " + of.Last()
	case "person":
		return "person", stock.Shop().Initials(journal.PersonID(of.Last()))
	}
	what = shop.ThingWord(of.Word())
	return what, words.Capital(what) + " " + of.Last()
}

// entryNode is an entry as something that happened to a thing.
func entryNode(l *record.Line) *Node {
	at := time.Time(l.Clocks.Device)
	return &Node{Of: journal.EntrySubject(l.ID), What: l.Kind.About(), Name: words.Capital(l.Kind.About()), At: at, Until: at, Known: []string{l.Says()}, By: []journal.EntryID{l.ID}, use: l}
}
