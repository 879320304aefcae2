package invented

import (
	"time"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// View is what a photograph shows.
type View string

// The views.
const (
	CameIn        View = "came"   // a corner of the car
	CameOff       View = "off"    // caliper and bracket of a corner, rusty
	MaskedPair    View = "masked" // blasted, with plugs
	CoatedPair    View = "coated"
	CoatedCaliper View = "coated caliper"
	CoatedBracket View = "coated bracket"
	BareSeats     View = "seats"
	EmptyBag      View = "emptied"
	CloseUp       View = "close-up" // of a defect
)

// Shot is a photograph that somebody takes for an entry: what is on it. The
// picture itself is made elsewhere.
type Shot struct {
	Shows  View
	Role   string   // as the entry says it
	Look   string   // of a defect
	Count  int      // of such defects; 0 if they are not counted
	Colour string   // of the coat; "" where there is none
	Marks  []string // what stands on the slip in the picture, by lines
	Seed   uint64   // no two shots of a plan have the same
}

// shoot has a photograph taken for an entry.
func (w *writing) shoot(s *Step, shot Shot, mark string) {
	w.shots++
	shot.Seed = w.plan.Seed<<32 | w.shots
	shot.Marks = []string{mark, s.At.Format(time.DateOnly)}
	s.Shots = append(s.Shots, shot)
}

// beside has the photographs taken that go with the work at a corner: one of
// its two parts together.
func (w *writing) beside(s *Step, j *Job, p journal.Payload) {
	at := s.About.Corner()
	switch p.(type) {
	case *journal.Removal:
		if s.About.Part() == "caliper" {
			w.shoot(s, Shot{Shows: CameOff, Role: "as it came off"}, j.mark(at))
		}
	case *journal.SeatProof:
		if s.About.Part() == "caliper" {
			w.shoot(s, Shot{Shows: BareSeats, Role: "bare seats and faces", Colour: j.colour(at)}, j.mark(at))
		}
	case *journal.LineConnection: // all is on again by then
		w.shoot(s, Shot{Shows: EmptyBag, Role: "empty bag"}, j.mark(at))
	}
}

// mark is what stands on the slip beside the parts of a corner.
func (j *Job) mark(at journal.Corner) string {
	mark := string(at)
	for _, c := range j.Coats {
		if c.Corner == at && c.Number == 1 {
			mark += " " + c.Casting
		}
	}
	return mark
}

// colour is that of the last coat at a corner.
func (j *Job) colour(at journal.Corner) (is string) {
	for _, c := range j.Coats {
		if c.Corner == at {
			is = c.Lot.Colour
		}
	}
	return is
}

// masked shows a part with its plugs, as turnedOut does it without them.
func (w *writing) masked(s *Step, c *Coat) {
	shot := Shot{Shows: MaskedPair, Role: "masked bores and seats"}
	switch {
	case c.Number > 1:
		w.shoot(s, shot, string(c.Corner)+" "+c.Casting)
	case c.What == "caliper":
		w.shoot(s, shot, c.Job.mark(c.Corner))
	}
}

// turnedOut shows a coat as it was out of the oven: that of a caliper with that
// of the bracket beside it, one that was stripped and coated again alone.
func (w *writing) turnedOut(s *Step, c *Coat) {
	shot := Shot{Shows: CoatedPair, Role: "coated, plugs out", Colour: c.Lot.Colour}
	switch {
	case c.Number > 1:
		shot.Shows = map[string]View{"caliper": CoatedCaliper, "bracket": CoatedBracket}[c.What]
		w.shoot(s, shot, string(c.Corner)+" "+c.Casting)
	case c.What == "caliper":
		w.shoot(s, shot, c.Job.mark(c.Corner))
	}
}

// near shows a defect from close up.
func (w *writing) near(s *Step, c *Coat, d *journal.Defect) {
	shot := Shot{Shows: CloseUp, Role: c.Look + ", scale beside", Look: c.Look, Count: d.Count, Colour: c.Lot.Colour}
	if d.Count > 0 {
		shot.Role = words.Count(d.Count, c.Look) + ", scale beside"
	}
	w.shoot(s, shot, string(c.Corner)+" "+c.Casting)
}
