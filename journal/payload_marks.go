package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media"
)

type (
	// PhotoMarks is the data of photo.marked: what somebody points at on copies of
	// an entry's photographs. The photographs themselves stay as they are.
	PhotoMarks struct {
		Of    EntryID   `json:"of"`
		Marks []Pointed `json:"marks"`
		Evidence
	}

	// Pointed is a place on a photograph and what is to be seen there: the middle
	// of a ring, or the head of an arrow. All figures are shares of the picture as
	// it stands upright: from its left edge, from its top, and of its width.
	Pointed struct {
		Photo  media.Ref  `json:"photo"`
		Shape  MarkShape  `json:"shape"`
		X      unit.Ratio `json:"x" span:"share"`
		Y      unit.Ratio `json:"y" span:"share"`
		Radius unit.Ratio `json:"radius,omitzero" span:"share"` // of a ring; a small one without; an arrow has none
		Says   string     `json:"says"`
	}
)

func (*PhotoMarks) Kind() Kind { return PhotoMarked }

// Say states what is pointed at.
func (m *PhotoMarks) Say() string {
	said := []string{"marked on a copy of the photograph"}
	if photos := m.photos(); photos > 1 {
		said[0] = fmt.Sprintf("marked on copies of %d photographs", photos)
	}
	for _, p := range m.Marks {
		said = append(said, fmt.Sprintf("%s at %s from the left and %s from the top: %s", p.Shape, p.X, p.Y, p.Says))
	}
	return words.Clauses(said...)
}

// photos counts the photographs that have a mark.
func (m *PhotoMarks) photos() int {
	seen := make(map[media.Ref]bool)
	for _, p := range m.Marks {
		seen[p.Photo] = true
	}
	return len(seen)
}

func (m *PhotoMarks) check(p *problems) {
	if len(m.Marks) == 0 {
		p.add("marks", Missing, "nothing is marked")
	}
	p.marks(len(m.Marks))
	for i, one := range m.Marks {
		p.share(row("marks", i)+".x", one.X)
		p.share(row("marks", i)+".y", one.Y)
		p.share(row("marks", i)+".radius", one.Radius)
	}
}

// MarkShape is how a place on a photograph is pointed at.
type MarkShape = Choice[markShapes]

type markShapes struct{}

func (markShapes) words() []string {
	return written(RingMark, ArrowFromLeft, ArrowFromRight, ArrowFromAbove, ArrowFromBelow)
}

// The words of [MarkShape].
const (
	RingMark       MarkShape = "ring"
	ArrowFromLeft  MarkShape = "arrow from the left"
	ArrowFromRight MarkShape = "arrow from the right"
	ArrowFromAbove MarkShape = "arrow from above"
	ArrowFromBelow MarkShape = "arrow from below"
)

// marks refuses more marks on photographs than one entry may have.
func (p *problems) marks(n int) {
	if n > MaxMarks {
		p.add("marks", TooMany, "%d marks are too many for one entry, which takes %d; mark the rest in another one", n, MaxMarks)
	}
}
