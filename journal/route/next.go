package route

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Task is what is to be done.
type Task string

// The tasks, in the order of their urgency.
const (
	Photograph Task = "photograph" // before it goes out of sight
	PutRight   Task = "put right"  // a hold that is broken or in doubt
	WriteDown  Task = "write down" // the next entry
	StillOpen  Task = "still open" // a hold, where nothing else is left to do
	TooLate    Task = "too late"   // a photograph that can be taken no more
)

func tasks() []Task { return []Task{Photograph, PutRight, WriteDown, StillOpen, TooLate} }

// Todo is one thing to be done next.
type Todo struct {
	Subject journal.Subject `json:"subject"`
	Stage   string          `json:"stage"`
	Task    Task            `json:"task"`
	Kind    journal.Kind    `json:"kind,omitzero"`  // of the entry to write, also for a hold, or that the photograph goes with; "" where it may be any
	Shows   string          `json:"shows,omitzero"` // the role of the photograph
	Hold    journal.HoldID  `json:"hold,omitzero"`
	State   State           `json:"state,omitzero"` // of that hold
	// Urgent says that the stage after which it cannot be photographed may
	// begin at any time. Before is that stage.
	Urgent bool   `json:"urgent,omitzero"`
	Before string `json:"before,omitzero"`
	Say    string `json:"say"` // one sentence

	verdict *Verdict // on Hold
	head    string   // of what is to be written
	what    string   // to write
}

// Head is what is to be written in a few words: the stage, or that another part
// goes in, which came off no vehicle. What says it whole, without the head.
func (t *Todo) Head() string { return t.head }
func (t *Todo) What() string { return t.what }

// Title and Found are those of the hold that is to be put right.
func (t *Todo) Title() string { return t.verdict.Title }
func (t *Todo) Found() string { return t.verdict.Found() }

// Short says it without why it is asked.
func (t *Todo) Short() string {
	if t.verdict == nil {
		return t.Say
	}
	return t.Title() + ": " + t.Found()
}

// Next lists what to do next for the vehicle, its corners and parts: first
// what is about to go out of sight and has not been photographed, then broken
// holds, then the entries of stages whose turn it is, and holds of safety that
// what is written does not meet yet, without which nothing that follows has its
// turn; where none is left, all holds that are still open. Photographs that were missed come last. A job
// without its card has nothing to do.
func (c *Held) Next() []Todo {
	if c.card == nil {
		return nil
	}
	n := &planner{Held: c}
	first := slices.IndexFunc(c.card.Stages, func(s card.Stage) bool { return s.Level == card.OnPart })
	for i := range c.card.Stages {
		s := &c.card.Stages[i]
		for _, at := range n.sites(s) {
			n.photographs(i, at)
			n.holds(s, at)
			n.entries(i, at)
		}
		if i == first {
			n.untouched(i)
		}
	}
	if !slices.ContainsFunc(n.list, func(t Todo) bool { return t.Task == WriteDown || t.Task == StillOpen }) {
		n.open()
	}
	rank := func(t Todo) int { // what is urgent comes first among its like
		n := 2 * slices.Index(tasks(), t.Task)
		if !t.Urgent {
			n++
		}
		return n
	}
	slices.SortStableFunc(n.list, func(a, b Todo) int { return cmp.Compare(rank(a), rank(b)) })
	return n.list
}

type planner struct {
	*Held
	list    []Todo
	written map[wanting]bool // of what is only supposed
}

func has(at *facts.Site, k journal.Kind) bool {
	return slices.ContainsFunc(at.Events(), func(e facts.Event) bool { return e.Data.Kind() == k })
}

// asked returns the kinds that a stage wants of a thing, as far as they are
// there or would be true.
func (n *planner) asked(s *card.Stage, at *facts.Site) []journal.Kind {
	return slices.DeleteFunc(slices.Clone(s.Wants), func(k journal.Kind) bool { return !at.Asks(k) && !has(at, k) })
}

// lacks returns the wanted kinds that are not there yet.
func (n *planner) lacks(s *card.Stage, at *facts.Site) []journal.Kind {
	return slices.DeleteFunc(n.asked(s, at), func(k journal.Kind) bool { return has(at, k) || n.written[wanting{s.Name, at.Subject, k}] })
}

// begun reports whether something of a stage was done at a thing.
func begun(s *card.Stage, at *facts.Site) bool {
	return slices.ContainsFunc(slices.Concat(s.Wants, s.May), func(k journal.Kind) bool { return has(at, k) })
}

// related returns what a stage is for in or around a subject.
func (n *planner) related(s *card.Stage, subject journal.Subject) []*facts.Site {
	return slices.DeleteFunc(slices.Clone(n.sites(s)), func(at *facts.Site) bool {
		return !facts.Covers(at.Subject, subject) && !facts.Covers(subject, at.Subject)
	})
}

// passed reports whether a stage lies behind a subject. One that is not for it
// is passed when those before it are.
func (n *planner) passed(name string, subject journal.Subject) bool {
	i := slices.IndexFunc(n.card.Stages, func(s card.Stage) bool { return s.Name == name })
	s := &n.card.Stages[i] // the card was checked
	sites := n.related(s, subject)
	if len(sites) == 0 && s.Level == card.OnPart && n.waits(subject) {
		return false
	}
	sites = slices.DeleteFunc(sites, func(at *facts.Site) bool { return len(n.asked(s, at)) == 0 })
	if len(sites) == 0 {
		return n.free(i, subject)
	}
	return !slices.ContainsFunc(sites, func(at *facts.Site) bool {
		return len(n.lacks(s, at)) > 0 || len(n.unmet(s, at)) > 0 || n.later(s, at)
	})
}

// later reports whether what follows a stage waits for what is only supposed of it: its holds
// of safety are of the whole corner or vehicle, and are judged by what is written.
func (n *planner) later(s *card.Stage, at *facts.Site) bool {
	return s.Level != card.OnPart && slices.ContainsFunc(s.Wants, func(k journal.Kind) bool { return n.written[wanting{s.Name, at.Subject, k}] }) &&
		slices.ContainsFunc(s.Holds, func(h card.Hold) bool { return h.Class == card.Safety })
}

// unmet returns the holds of safety of a stage at a corner that what is written
// there does not meet yet: a wheel that is only snug, or the first of two
// joints. Nothing that follows comes next before they are met. A part's may wait
// for its powder, and the vehicle's for the road test.
func (n *planner) unmet(s *card.Stage, at *facts.Site) []*Verdict {
	if s.Level != card.OnCorner {
		return nil
	}
	var list []*Verdict
	for i := range s.Holds {
		if v := n.judge(point{s, &s.Holds[i], at.Subject}, at); v != nil && v.Class == card.Safety && v.State == Open && !v.early {
			list = append(list, v)
		}
	}
	return list
}

// waits reports whether nothing was done yet at a corner in or around a
// subject: which parts come off there is not known.
func (n *planner) waits(subject journal.Subject) bool {
	return slices.ContainsFunc(n.job.Corners, func(c *facts.Site) bool {
		return c.Untouched() && (facts.Covers(c.Subject, subject) || facts.Covers(subject, c.Subject))
	})
}

// untouched lists the corners at which nothing was done yet, once the first
// part may come off, and those where a part does not go back and nothing is in
// its place. The stage is that at which parts come off.
func (n *planner) untouched(i int) {
	for _, c := range n.job.Corners {
		for _, is := range c.Unfilled() {
			n.put(&n.card.Stages[i], journal.About(n.record.ID, c.Subject.Corner(), is.Instead()), journal.PartTagged, "Another part goes in", is.Say())
		}
		if c.Untouched() && n.free(i, c.Subject) {
			n.first(c, journal.PartRemoved)
			n.write(&n.card.Stages[i], c, "", "write down which parts came off here or, if none did, what else was done")
		}
	}
}

// open lists the holds that are still open, those of safety first.
func (n *planner) open() {
	for p, v := range n.verdicts() {
		if v.State == Open {
			n.stands(p.about, p.stage, v)
		}
	}
}

// stands lists a hold that is still open, once.
func (n *planner) stands(about journal.Subject, s *card.Stage, v *Verdict) {
	if !slices.ContainsFunc(n.list, func(t Todo) bool { return t.Task == StillOpen && t.Hold == v.Hold && t.Subject == about }) {
		n.list = append(n.list, Todo{Subject: about, Stage: s.Name, Task: StillOpen, Kind: v.Answer(s), Hold: v.Hold, State: v.State, Urgent: v.Class == card.Safety, Say: v.Title + ": " + v.Why, verdict: v})
	}
}

// free reports whether all stages before the i-th are passed.
func (n *planner) free(i int, subject journal.Subject) bool {
	return !slices.ContainsFunc(n.card.Before(i), func(name string) bool { return !n.passed(name, subject) })
}

func (n *planner) entries(i int, at *facts.Site) {
	s := &n.card.Stages[i]
	lacks := n.lacks(s, at)
	if !n.free(i, at.Subject) {
		return
	}
	if len(lacks) == 0 && begun(s, at) {
		for _, v := range n.unmet(s, at) {
			n.stands(at.Subject, s, v)
		}
	}
	for _, k := range lacks {
		if !at.Waits(k) && !n.first(at, k) {
			n.write(s, at, k, "write down "+k.Told())
		}
	}
}

// first lists what comes before an entry of a kind about the vehicle, at the
// stage where that is written, and reports whether there is any.
func (n *planner) first(at *facts.Site, k journal.Kind) bool {
	found := false
	for _, before := range at.First(k) {
		i := slices.IndexFunc(n.card.Stages, func(s card.Stage) bool {
			return s.Level == card.OnVehicle && slices.Contains(slices.Concat(s.Wants, s.May), before)
		})
		if i < 0 {
			continue
		}
		s := &n.card.Stages[i]
		if k != journal.PartRemoved && n.written[wanting{s.Name, n.job.Vehicle.Subject, before}] {
			continue // what comes off hangs on what is found there
		}
		found = true
		if !slices.ContainsFunc(n.list, func(t Todo) bool { return t.Task == WriteDown && t.Kind == before && t.Stage == s.Name }) {
			n.write(s, n.job.Vehicle, before, "write down "+told(at, k, before))
		}
	}
	return found
}

// told says what comes before an entry of a kind.
func told(at *facts.Site, k, before journal.Kind) string {
	switch {
	case k == journal.PartRemoved && before == journal.ManualRead:
		return "which parking brake the vehicle has; an electric one is put into service mode before a rear caliper comes off"
	case before != journal.ParkbrakeServiced:
		return before.Told()
	case k == journal.PartRemoved:
		return "that the parking brake was put into service mode, before a rear caliper comes off"
	case at.InServiceMode():
		return "that the parking brake was put out of service mode; until then it does not hold the vehicle"
	}
	return "that the parking brake was calibrated or adjusted, before the vehicle is driven"
}

// write lists something to be written.
func (n *planner) write(s *card.Stage, at *facts.Site, k journal.Kind, what string) {
	n.put(s, at.Subject, k, s.Title, what)
}

func (n *planner) put(s *card.Stage, about journal.Subject, k journal.Kind, head, what string) {
	n.list = append(n.list, Todo{Subject: about, Stage: s.Name, Task: WriteDown, Kind: k, Say: head + ": " + what, head: head, what: what})
}

func (n *planner) holds(s *card.Stage, at *facts.Site) {
	for j := range s.Holds {
		if v := n.judge(point{s, &s.Holds[j], at.Subject}, at); v != nil && (v.State == Broken || v.State == InDoubt) {
			n.list = append(n.list, Todo{Subject: at.Subject, Stage: s.Name, Task: PutRight, Kind: v.Answer(s), Hold: v.Hold, State: v.State, Urgent: v.Class == card.Safety, Say: v.Title + ": " + v.Why, verdict: v})
		}
	}
}

// photographs lists the pictures of a stage that are still to be taken.
func (n *planner) photographs(i int, at *facts.Site) {
	s := &n.card.Stages[i]
	if !begun(s, at) && !n.free(i, at.Subject) {
		return
	}
	for _, p := range n.pictures(s, at) {
		if n.taken(at, s, p) {
			continue
		}
		t := Todo{Subject: at.Subject, Stage: s.Name, Task: Photograph, Kind: p.On, Shows: p.Shows, Say: fmt.Sprintf("%s: photograph %s", s.Title, p.Shows)}
		if j := n.hides(i, at); j >= 0 {
			t.Before = n.card.Stages[j].Title
			switch sites := n.related(&n.card.Stages[j], at.Subject); {
			case slices.ContainsFunc(sites, func(o *facts.Site) bool { return begun(&n.card.Stages[j], o) }):
				t.Task = TooLate
				t.Say = fmt.Sprintf("%s: there is no photograph of %s, and since %s none can be taken", s.Title, p.Shows, words.Quoted(t.Before))
			case n.free(j, at.Subject):
				t.Urgent = true
				t.Say += fmt.Sprintf(" now; after %s it is out of sight", words.Quoted(t.Before))
			}
		}
		n.list = append(n.list, t)
	}
}

// hides returns the stage after which pictures of the i-th can be taken no
// more, or -1: the next one that has to do with the same thing.
func (n *planner) hides(i int, at *facts.Site) int {
	for j := i + 1; j < len(n.card.Stages); j++ {
		if s := &n.card.Stages[j]; s.OutOfSight && len(n.related(s, at.Subject)) > 0 {
			return j
		}
	}
	return -1
}

// pictures returns the pictures of a stage that are asked for at a thing. One
// that shows several is asked for at the first of them.
func (n *planner) pictures(s *card.Stage, at *facts.Site) []card.Picture {
	return slices.DeleteFunc(slices.Clone(s.Photos), func(p card.Picture) bool {
		if !p.Concerns(at.Scope) {
			return true
		}
		shown := n.shown(s, at, p)
		return len(shown) == 0 || shown[0] != at
	})
}

// shown returns the things of a stage that one picture shows beside another.
func (n *planner) shown(s *card.Stage, at *facts.Site, p card.Picture) []*facts.Site {
	around := p.For.Around(at.Subject)
	return slices.DeleteFunc(n.sites(s), func(o *facts.Site) bool {
		return p.For.Around(o.Subject) != around || o.Gone() || !o.Asks(p.On) && !has(o, p.On)
	})
}

// taken reports whether a picture is there: by its role, on the entry or on
// its own, of the thing or of what it is shown with. A stage that wants one
// picture with a kind takes any of that kind.
func (n *planner) taken(at *facts.Site, s *card.Stage, p card.Picture) bool {
	alone := 0
	for _, other := range s.Photos {
		if other.On == p.On {
			alone++
		}
	}
	shows := func(o *facts.Site) bool {
		return o != nil && slices.ContainsFunc(o.Events(), func(e facts.Event) bool {
			k := e.Data.Kind()
			return (k == p.On || k == journal.PhotoTaken) && slices.ContainsFunc(e.Line.Photos, func(photo record.Photo) bool {
				return facts.SameRole(photo.Role, p.Shows) || alone == 1 && k == p.On && k != journal.PhotoTaken
			})
		})
	}
	return slices.ContainsFunc(n.shown(s, at, p), shows) || shows(n.site(p.For.Around(at.Subject)))
}
