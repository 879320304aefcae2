package bolt

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// Class is a property class of ISO 898-1, as stamped on the head. The zero Class is
// unknown.
type Class string

// The property classes.
const (
	Class4_6  Class = "4.6"
	Class4_8  Class = "4.8"
	Class5_6  Class = "5.6"
	Class5_8  Class = "5.8"
	Class6_8  Class = "6.8"
	Class8_8  Class = "8.8"
	Class9_8  Class = "9.8"
	Class10_9 Class = "10.9"
	Class12_9 Class = "12.9"
)

type (
	// Friction is a range of the torque coefficient K in T = K·d·F.
	Friction struct {
		Low, High float64
		Source    string
	}

	// Bolt is what is tightened.
	Bolt struct {
		Thread Thread
		Class  Class // empty when unknown: then no share of proof is given
	}

	// Clamp is what a torque does to a bolt. Loads are in N, shares of the proof load.
	Clamp struct {
		Bolt                  Bolt
		Torque                unit.Torque
		Friction              Friction
		Least, Most           float64 // at the highest and at the lowest K
		Proof                 Proof   // zero when the class is unknown
		LeastShare, MostShare float64
		Source                string
		Warnings              []string
	}
)

// frictionSource marks the ranges below. They differ between makers and batches.
const frictionSource = "a fastener supplier’s table for joints in steel"

// DrySteel is plain steel without oil.
func DrySteel() Friction { return Friction{0.18, 0.27, frictionSource} }

// Oiled is plain steel with oil.
func Oiled() Friction { return Friction{0.10, 0.26, frictionSource} }

// ZincPlated is electroplated zinc.
func ZincPlated() Friction { return Friction{0.17, 0.35, frictionSource} }

// ZincFlake is a zinc flake coating.
func ZincFlake() Friction { return Friction{0.16, 0.32, frictionSource} }

// Cadmium is cadmium plating.
func Cadmium() Friction { return Friction{0.15, 0.19, frictionSource} }

// ClampOf returns the clamp that a torque gives over a range of friction, F = T/(K·d).
// Errors are of type *Error.
func ClampOf(b Bolt, torque unit.Torque, k Friction) (Clamp, error) {
	const lowest, highest = 0.05, 0.6
	if err := b.Thread.check(); err != nil {
		return Clamp{}, err
	}
	switch {
	case !(torque.In(unit.NewtonMetre) > 0):
		return Clamp{}, sheet.Refuse("the torque", sheet.Typed(torque), "the torque of a tightened bolt must be above zero")
	case !(lowest <= k.Low && k.Low <= k.High && k.High <= highest):
		return Clamp{}, sheet.Refuse("the torque coefficient K", fmt.Sprintf("%g to %g", k.Low, k.High), fmt.Sprintf("it must lie between %g and %g, the low end first: usual is 0.10 to 0.35", lowest, highest))
	}
	c := Clamp{Bolt: b, Torque: torque, Friction: k, Source: "T = K·d·F; K: " + sourceOr(k.Source)}
	arm := b.Thread.Diameter / 1000 // m
	c.Least = torque.In(unit.NewtonMetre) / (k.High * arm)
	c.Most = torque.In(unit.NewtonMetre) / (k.Low * arm)
	if b.Class == "" {
		c.Warnings = append(c.Warnings, "the bolt’s property class is not known, so it is not known how near it is to stretching: read the stamp on the head")
		return c, nil
	}
	proof, err := ProofLoad(b.Thread, b.Class)
	if err != nil {
		return Clamp{}, err
	}
	c.Proof, c.LeastShare, c.MostShare = proof, c.Least/proof.Load, c.Most/proof.Load
	c.Source += "; " + proof.Source
	if c.MostShare > 1 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("with K %g the clamp of %s is %.0f %% of the proof load, %s: the bolt may stay stretched; lubricate it only if the maker’s data say so",
			k.Low, kilonewtons(c.Most), 100*c.MostShare, kilonewtons(proof.Load)))
	}
	return c, nil
}

// Say returns the clamp as one sentence.
func (c Clamp) Say() string {
	loads, shares := kilonewtons(c.Least), fmt.Sprintf("%.0f %%", 100*c.LeastShare)
	if c.Friction.Low != c.Friction.High {
		loads = fmt.Sprintf("%.1f to %s", c.Least/1000, kilonewtons(c.Most))
		shares = fmt.Sprintf("%.0f to %.0f %%", 100*c.LeastShare, 100*c.MostShare)
	}
	if c.Proof.Load == 0 {
		return fmt.Sprintf("%s on %s clamps with about %s; the property class is not known", c.Torque, c.Bolt.Thread, loads)
	}
	return fmt.Sprintf("%s on %s of class %s clamps with about %s, %s of the proof load", c.Torque, c.Bolt.Thread, c.Bolt.Class, loads, shares)
}

func kilonewtons(newtons float64) string { return fmt.Sprintf("%.1f kN", newtons/1000) }

func sourceOr(source string) string {
	if source == "" {
		return "no source"
	}
	return source
}
