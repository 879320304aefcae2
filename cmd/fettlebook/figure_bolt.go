package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bolt"
	"fettlebook/journal/trade/unit"
)

type figureBolt struct {
	Thread    string  `arg:"" help:"The thread, such as M12x1.25, or M12 for the coarse pitch."`
	Torque    entered `required:"" help:"The torque that it is tightened to." placeholder:"\"105 N.m\""`
	Class     string  `help:"The property class stamped on the head." placeholder:"10.9"`
	Condition string  `enum:"dry,oiled,zinc,zinc-flake,cadmium" default:"dry" help:"How the threads are, which tells a usual range of friction: dry, oiled, zinc, zinc-flake or cadmium." placeholder:"dry"`
	Friction  entered `help:"The torque coefficient K or its range, instead of the condition's." placeholder:"\"0.16 to 0.20\""`

	Creep  entered `group:"Creep" help:"By how much film, paint or roughness under the head gives way." placeholder:"\"20 µm\""`
	Grip   entered `group:"Creep" help:"The thickness that the bolt clamps." placeholder:"\"25 mm\""`
	Clamps string  `group:"Creep" enum:"ductile iron,grey iron,aluminium,steel" default:"ductile iron" help:"What it clamps: ductile iron, grey iron, aluminium or steel." placeholder:"\"ductile iron\""`
	JSON   bool    `name:"json" help:"Print JSON."`
}

type (
	// boltFigure is the JSON of a clamp. Least is at the highest friction, most at the
	// lowest; shares are of the proof load, between 0 and 1 or above.
	boltFigure struct {
		worksheet
		DiameterMM    float64    `json:"diameter_mm"`
		PitchMM       float64    `json:"pitch_mm"`
		StressAreaMM2 float64    `json:"stress_area_mm2"`
		Class         string     `json:"class,omitzero"`
		TorqueNM      float64    `json:"torque_nm"`
		FrictionLow   float64    `json:"friction_low"` // K
		FrictionHigh  float64    `json:"friction_high"`
		ClampLeastKN  float64    `json:"clamp_least_kn"`
		ClampMostKN   float64    `json:"clamp_most_kn"`
		ProofLoadKN   float64    `json:"proof_load_kn,omitzero"` // with a class only
		ShareLeast    float64    `json:"share_least,omitzero"`
		ShareMost     float64    `json:"share_most,omitzero"`
		Creep         *boltCreep `json:"creep,omitzero"`
	}

	// boltCreep is the clamp that creep takes.
	boltCreep struct {
		CreepUM       float64 `json:"creep_um"`
		BoltMMPerN    float64 `json:"bolt_mm_per_n"`  // by how much the bolt gives way
		PartsMMPerN   float64 `json:"parts_mm_per_n"` // and what it clamps
		LostKN        float64 `json:"lost_kn"`
		LeftLeastKN   float64 `json:"left_least_kn"`
		LeftMostKN    float64 `json:"left_most_kn"`
		LostShareMost float64 `json:"lost_share_most"` // of the least clamp, at most 1
	}
)

// Run prints the clamp.
func (c *figureBolt) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureBolt) work() (*boltFigure, error) {
	f := &boltFigure{worksheet: worksheet{Figure: "bolt"}}
	in := intake{worksheet: &f.worksheet}
	thread, err := bolt.ParseThread(c.Thread)
	if err != nil {
		return nil, err
	}
	f.Inputs = append(f.Inputs, input{"thread", c.Thread, thread.String()})
	in.typed("class", c.Class)
	torque := quantity(&in, "torque", c.Torque, unit.NewtonMetre, 2)
	friction := c.friction(&in)
	if in.err != nil {
		return nil, in.err
	}
	r, err := bolt.ClampOf(bolt.Bolt{Thread: thread, Class: bolt.Class(c.Class)}, torque, friction)
	if err != nil {
		return nil, err
	}
	f.fill(r)
	if c.Creep == "" && c.Grip == "" {
		return f, nil
	}
	return f, f.lose(&in, c, r)
}

// friction takes the condition's range, or the one that was typed: "0.16 to 0.20".
func (c *figureBolt) friction(in *intake) bolt.Friction {
	if c.Friction == "" {
		in.typed("condition", c.Condition)
		return map[string]bolt.Friction{
			"dry": bolt.DrySteel(), "oiled": bolt.Oiled(), "zinc": bolt.ZincPlated(), "zinc-flake": bolt.ZincFlake(), "cadmium": bolt.Cadmium(),
		}[c.Condition]
	}
	low, high, ranged := strings.Cut(string(c.Friction), " to ")
	if !ranged {
		high = low
	}
	k := bolt.Friction{Source: "as entered"}
	var err error
	if k.Low, err = decimal(low); err == nil {
		k.High, err = decimal(high)
	}
	if err != nil {
		in.fail(fmt.Errorf("friction %w", err))
	}
	in.typed("friction", string(c.Friction))
	return k
}

func (f *boltFigure) fill(r bolt.Clamp) {
	const kilo = 1000
	f.DiameterMM, f.PitchMM, f.StressAreaMM2 = r.Bolt.Thread.Diameter, r.Bolt.Thread.Pitch, r.Bolt.Thread.StressArea()
	f.Class, f.TorqueNM = string(r.Bolt.Class), r.Torque.In(unit.NewtonMetre)
	f.FrictionLow, f.FrictionHigh = r.Friction.Low, r.Friction.High
	f.ClampLeastKN, f.ClampMostKN, f.ProofLoadKN = r.Least/kilo, r.Most/kilo, r.Proof/kilo
	f.ShareLeast, f.ShareMost = r.LeastShare, r.MostShare
	f.Formula = []string{"F = T/(K·d)"}
	f.result("clamp", "%.1f to %.1f kN, with K from %g down to %g", f.ClampLeastKN, f.ClampMostKN, r.Friction.High, r.Friction.Low)
	f.result("stress area", "%.1f mm²", f.StressAreaMM2)
	f.Limits = []limit{{"K", fmt.Sprintf("%g to %g", r.Friction.Low, r.Friction.High), r.Friction.Source, "--condition or --friction"}}
	if r.Proof > 0 {
		f.Formula = append(f.Formula, "stress area = π/4·((d2 + d3)/2)², ISO 898-1; proof load = stress area times proof stress")
		f.result("share of proof", "%.0f to %.0f %%", 100*r.LeastShare, 100*r.MostShare)
		_, source, _ := strings.Cut(r.Source, r.Friction.Source+"; ")
		f.Limits = append(f.Limits, limit{"proof load", fmt.Sprintf("%.1f kN", f.ProofLoadKN), source, ""})
	}
	f.Warnings, f.Verdict = r.Warnings, []string{r.Say()}
}

// lose works out what creep takes of the least clamp and of the most.
func (f *boltFigure) lose(in *intake, c *figureBolt, clamp bolt.Clamp) error {
	creep := quantity(in, "creep", c.Creep, unit.Micrometre, 1)
	grip := quantity(in, "grip", c.Grip, unit.Millimetre, 1)
	in.typed("clamps", c.Clamps)
	if in.err != nil {
		return in.err
	}
	give, err := bolt.Estimate(clamp.Bolt.Thread, grip, bolt.Material(c.Clamps))
	if err != nil {
		return err
	}
	least, err := bolt.LossBy(creep, give, clamp.Least)
	if err != nil {
		return err
	}
	most, err := bolt.LossBy(creep, give, clamp.Most)
	if err != nil {
		return err
	}
	f.Creep = &boltCreep{
		CreepUM: creep.In(unit.Micrometre), BoltMMPerN: give.Bolt, PartsMMPerN: give.Parts,
		LostKN: least.Lost / 1000, LeftLeastKN: least.Left / 1000, LeftMostKN: most.Left / 1000, LostShareMost: least.Share,
	}
	f.Formula = append(f.Formula, least.Source)
	f.result("lost to creep", "%.1f kN; %.1f to %.1f kN are left", f.Creep.LostKN, f.Creep.LeftLeastKN, f.Creep.LeftMostKN)
	f.Warnings = append(f.Warnings, least.Warnings...)
	f.Verdict = append(f.Verdict, least.Say())
	return nil
}
