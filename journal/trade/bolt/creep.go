package bolt

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// Material is what is clamped. The zero Material is none.
type Material string

// Materials of brake parts.
const (
	DuctileIron Material = "ductile iron"
	GreyIron    Material = "grey iron"
	Aluminium   Material = "aluminium"
	Steel       Material = "steel"
)

// steelModulus is Young's modulus of the bolt in MPa, from memory.
const steelModulus = 205e3

// modulus is Young's modulus in MPa, from memory.
func (m Material) modulus() (megapascals float64, ok bool) {
	switch m {
	case DuctileIron:
		return 169e3, true
	case GreyIron:
		return 110e3, true
	case Aluminium:
		return 71e3, true
	case Steel:
		return steelModulus, true
	}
	return 0, false
}

type (
	// Compliance is how much a bolt and what it clamps give way, in mm/N.
	Compliance struct {
		Bolt, Parts float64
		Estimated   bool
		Source      string
	}

	// Loss is the clamp that goes when something between head and seat creeps. Loads
	// are in N.
	Loss struct {
		Creep      unit.Length
		Compliance Compliance
		Clamp      float64 // before
		Lost       float64 // ΔF; more than Clamp when nothing is left
		Left       float64
		Share      float64 // lost of the clamp before, at most 1
		Source     string
		Warnings   []string
	}
)

// Estimate returns the compliances of a bolt through one part into a tapped hole, with
// thread along the whole grip. The bolt is a row of steel cylinders: half a diameter for
// the head, the grip and half a diameter at the root of the thread, a third of a
// diameter for the tapped part (VDI 2230, from memory). The part is a cone of 30° from a
// head 1.5 diameters wide (usual in textbooks of machine design, from memory). Errors
// are of type *Error.
func Estimate(t Thread, grip unit.Length, part Material) (Compliance, error) {
	length := grip.In(unit.Millimetre)
	modulus, known := part.modulus()
	if err := t.check(); err != nil {
		return Compliance{}, err
	}
	switch {
	case !(length > 0):
		return Compliance{}, sheet.Refuse("the grip", sheet.Typed(grip), "measure the thickness that the bolt clamps")
	case length < t.Diameter/2 || length > 20*t.Diameter:
		return Compliance{}, sheet.Refuse("the grip", grip.String(), fmt.Sprintf("for %s it should be between half a diameter and 20 diameters: check the number and its unit", t))
	case !known:
		return Compliance{}, sheet.Refuse("the material", string(part), "choose ductile iron, grey iron, aluminium or steel")
	}
	d, shank, root := t.Diameter, circle(t.Diameter), circle(t.rootDiameter())
	bolt := ((0.5*d+0.33*d)/shank + (length+0.5*d)/root) / steelModulus
	head := 1.5 * d
	cone := 2 * length * math.Tan(math.Pi/6) // by how much the cone widens
	stiffness := math.Pi * modulus * d * math.Tan(math.Pi/6) /
		math.Log((cone+head-d)*(head+d)/((cone+head+d)*(head-d)))
	return Compliance{Bolt: bolt, Parts: 1 / stiffness, Estimated: true, Source: "estimated, VDI 2230 and a 30° cone"}, nil
}

// LossBy returns the clamp that is lost when film, paint or roughness gives way by
// creep: ΔF = f/(δS + δP), the embedding loss of VDI 2230 (from memory). The clamp before
// is in N. Errors are of type *Error.
func LossBy(creep unit.Length, c Compliance, clamp float64) (Loss, error) {
	switch {
	case creep.IsZero():
		return Loss{}, sheet.Refuse("the creep", sheet.Typed(creep), "write by how much the film gives way, such as a third of its thickness")
	case creep.In(unit.Millimetre) > 1:
		return Loss{}, sheet.Refuse("the creep", creep.String(), "a film that gives way by more than 1 mm is not a film: check the unit")
	case !(c.Bolt > 0 && c.Parts > 0) || math.IsInf(c.Bolt+c.Parts, 0):
		return Loss{}, sheet.Refuse("the compliances", fmt.Sprintf("%g and %g mm/N", c.Bolt, c.Parts), "both must be above zero: estimate them from thread, grip and material")
	case !(clamp > 0) || math.IsInf(clamp, 0):
		return Loss{}, sheet.Refuse("the clamp", fmt.Sprintf("%g N", clamp), "it must be above zero: work it out from the torque first")
	}
	lost := creep.In(unit.Millimetre) / (c.Bolt + c.Parts)
	l := Loss{
		Creep: creep, Compliance: c, Clamp: clamp, Lost: lost,
		Left: max(0, clamp-lost), Share: min(1, lost/clamp),
		Source: "ΔF = f/(δS + δP), VDI 2230; compliances " + sourceOr(c.Source),
	}
	switch {
	case l.Left == 0:
		l.Warnings = append(l.Warnings, "no clamp load is left: the bolt is loose")
	case l.Share >= loseMost:
		l.Warnings = append(l.Warnings, fmt.Sprintf("%.0f %% of the clamp load is lost: keep the seat bare", 100*l.Share))
	}
	return l, nil
}

// loseMost is the share of clamp whose loss is warned of, a shop default.
const loseMost = 0.1

// Say returns the loss as one sentence.
func (l Loss) Say() string {
	marked := ""
	if l.Compliance.Estimated {
		marked = " (estimated)"
	}
	return fmt.Sprintf("creep of %s under the head loses %s of %s, %.0f %%%s", l.Creep, kilonewtons(min(l.Lost, l.Clamp)), kilonewtons(l.Clamp), 100*l.Share, marked)
}
