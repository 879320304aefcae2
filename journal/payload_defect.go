package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media"
)

type (
	// Defect is the data of defect.found: what is seen, and apart from that
	// where it is thought to come from and how sure that is.
	Defect struct {
		Looks Look `json:"looks"`
		// Named is look and cause in one word of the trade, as earlier entries
		// have it.
		Named DefectName  `json:"named,omitzero"`
		Face  string      `json:"face"` // where on the part, in words
		Count int         `json:"count,omitzero" span:"defects"`
		Size  unit.Length `json:"size,omitzero" span:"defect"`
		Seen  DefectStage `json:"seen"`

		// Where on a drawing of the part: from its left edge, and from its top.
		Outline Outline    `json:"outline,omitzero"`
		X       unit.Ratio `json:"x,omitzero" span:"share"`
		Y       unit.Ratio `json:"y,omitzero" span:"share"`

		Marks  []Mark      `json:"marks,omitempty"`
		Causes []Suspicion `json:"causes,omitempty"`
		Run    RunID       `json:"run,omitzero"` // the bake it is thought to come from
		Evidence
	}

	// Mark is a place on a photograph, of this entry or of an earlier one: a
	// point, or the middle of a circle. All three are shares of the picture:
	// from its left edge, from its top, and of its width.
	Mark struct {
		Photo  media.Ref  `json:"photo"`
		X      unit.Ratio `json:"x" span:"share"`
		Y      unit.Ratio `json:"y" span:"share"`
		Radius unit.Ratio `json:"radius,omitzero" span:"share"`
	}

	// Suspicion is a cause, and how somebody knows it.
	Suspicion struct {
		Cause Cause   `json:"cause"`
		Sure  HowSure `json:"sure"`
		How   string  `json:"how,omitzero"` // by which test, or what was seen
	}

	// Rework is the data of rework.decided.
	Rework struct {
		Of       EntryID        `json:"of"` // the defect
		Decision ReworkDecision `json:"decision"`
		Reason   string         `json:"reason"`
		Evidence
	}
)

func (*Defect) Kind() Kind { return DefectFound }
func (*Rework) Kind() Kind { return ReworkDecided }

// Called returns what the defect was called when it was written down.
func (d *Defect) Called() string {
	if d.Named != "" {
		return string(d.Named)
	}
	return string(d.Looks)
}

// MayComeFrom reports whether a cause is named, or none is.
func (d *Defect) MayComeFrom(c Cause) bool {
	for _, s := range d.Causes {
		if s.Cause == c {
			return true
		}
	}
	return len(d.Causes) == 0
}

// Say states what is seen before what is thought of it.
func (d *Defect) Say() string {
	said := []string{
		fmt.Sprintf("defect: %s at %s", d.Called(), d.Face), words.If(d.Count > 0, fmt.Sprintf("%d of them", d.Count)), words.Given("size %s", d.Size), words.Fill("seen %s", d.Seen),
		words.If(d.Outline != "", fmt.Sprintf("on the drawing %s %s from the left and %s from the top", words.Quoted(d.Outline), d.X, d.Y)),
		words.If(len(d.Marks) == 1, "marked on a photograph"), words.If(len(d.Marks) > 1, fmt.Sprintf("%d places marked on photographs", len(d.Marks))),
	}
	for _, s := range d.Causes {
		said = append(said, s.say())
	}
	return words.Clauses(append(said, words.Fill("thought to come from run %s", d.Run))...)
}

// say keeps what was seen or tested apart from what is only thought.
func (s Suspicion) say() string {
	how := words.Fill(" (%s)", s.How)
	switch s.Sure {
	case CauseSeen:
		return fmt.Sprintf("cause seen: %s%s", s.Cause, how)
	case CauseTested:
		return fmt.Sprintf("cause shown by a test: %s%s", s.Cause, how)
	}
	return fmt.Sprintf("suspected cause: %s%s", s.Cause, how)
}

func (p *Rework) Say() string { return fmt.Sprintf("decided: %s, because %s", p.Decision, p.Reason) }

func (d *Defect) check(p *problems) {
	p.least("count", d.Count, 0)
	placed := !d.X.IsZero() && !d.Y.IsZero()
	if (d.Outline != "") != placed || d.X.IsZero() != d.Y.IsZero() {
		p.add("outline", Clash, "a place on a drawing needs the drawing and both shares, from the left and from the top")
	}
	p.share("x", d.X)
	p.share("y", d.Y)
	p.marks(len(d.Marks))
	for i, m := range d.Marks {
		p.share(row("marks", i)+".x", m.X)
		p.share(row("marks", i)+".y", m.Y)
		p.share(row("marks", i)+".radius", m.Radius)
	}
}

// share refuses what is more than the whole.
func (p *problems) share(path string, r unit.Ratio) {
	if !r.IsZero() && r.In(unit.Percent) > 100 {
		p.add(path, Clash, "%s is more than the whole: a share is at most 100 %%", r)
	}
}

// lookOf is what is seen of a defect by its name in the trade.
func lookOf(n DefectName) Look {
	switch n {
	case OutgassingPinhole, MoisturePop, ThickFilmGassing:
		return Pinhole
	case Fisheye:
		return FisheyeLook
	case BackIonisation:
		return RoughSpot
	case OrangePeel:
		return OrangePeelLook
	case ThinRecess:
		return ThinSpot
	case Sag:
		return Run
	case Undercure:
		return SoftFilm
	case Overbaked:
		return OffColour
	case AdhesionLoss:
		return Peel
	case FlashRust:
		return RustSpot
	case MaskBridging:
		return LiftedEdge
	case Inclusion:
		return InclusionLook
	case SeatChip:
		return Chip
	case FluidAttack:
		return Wrinkle
	case CorrosionCreep:
		return RustUnderFilm
	case Scratch:
		return ScratchLook
	default:
		return OtherLook
	}
}
