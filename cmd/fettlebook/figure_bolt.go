package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bolt"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

type figureBolt struct {
	Thread    string  `arg:"" help:"The thread, such as M12x1.25, or M12 for the coarse pitch."`
	Torque    entered `required:"" help:"The torque that it is tightened to." placeholder:"\"105 N·m\""`
	Class     string  `help:"The property class stamped on the head." placeholder:"10.9"`
	Condition string  `enum:"dry,oiled,zinc,zinc-flake,cadmium" default:"dry" help:"The state of the threads, which gives a usual range of friction: dry, oiled, zinc, zinc-flake or cadmium." placeholder:"dry"`
	Friction  entered `help:"The torque coefficient K or its range, instead of the condition’s." placeholder:"\"0.16 to 0.20\""`

	Creep  entered `group:"Creep" help:"By how much film, paint or roughness under the head gives way." placeholder:"\"20 µm\""`
	Grip   entered `group:"Creep" help:"The thickness that the bolt clamps." placeholder:"\"25 mm\""`
	Clamps string  `group:"Creep" enum:"ductile iron,grey iron,aluminium,steel" default:"ductile iron" help:"What it clamps: ductile iron, grey iron, aluminium or steel." placeholder:"\"ductile iron\""`
	JSON   bool    `name:"json" help:"Print JSON."`
}

// Run prints the clamp.
func (c *figureBolt) Run(t *terminal) error { return t.figure("bolt", c.JSON, c.work) }

func (c *figureBolt) work(in *intake) (s sheet.Sheet, err error) {
	thread, err := bolt.ParseThread(c.Thread)
	if err != nil {
		return s, err
	}
	in.note(sheet.Input{Name: "thread", Typed: c.Thread, TakenAs: thread.String()})
	in.typed("class", c.Class)
	torque := quantity(in, "torque", c.Torque, unit.NewtonMetre, 2)
	clamp, err := bolt.ClampOf(bolt.Bolt{Thread: thread, Class: bolt.Class(c.Class)}, torque, c.friction(in))
	if err != nil {
		return s, err
	}
	s = clamp.Sheet()
	if c.Creep == "" && c.Grip == "" {
		return s, nil
	}
	creep, grip := quantity(in, "creep", c.Creep, unit.Micrometre, 1), quantity(in, "grip", c.Grip, unit.Millimetre, 1)
	in.typed("clamps", c.Clamps)
	give, err := bolt.Estimate(thread, grip, bolt.Material(c.Clamps))
	if err != nil {
		return s, err
	}
	least, err := bolt.LossBy(creep, give, clamp.Least)
	if err != nil {
		return s, err
	}
	most, err := bolt.LossBy(creep, give, clamp.Most)
	s.Under("creep", least.Sheet(most))
	return s, err
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
	if k.Low, err = unit.Number(low); err == nil {
		k.High, err = unit.Number(high)
	}
	if err != nil {
		in.fail(fmt.Errorf("friction %w", err))
	}
	in.typed("friction", string(c.Friction))
	return k
}
