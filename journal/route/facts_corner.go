package route

// cornerFacts are the facts of one corner of the vehicle.
type cornerFacts struct {
	Name    string      `fact:"name" says:"LF, RF, LR or RR"`
	Parts   partsFacts  `fact:"parts"`
	Bag     bagFacts    `fact:"bag"`
	Line    lineFacts   `fact:"line"`
	Washers washerFacts `fact:"washers"`
	Joints  joints      `fact:"joints"`
	Bleed   bleedFacts  `fact:"bleed"`
	Screw   screwFacts  `fact:"screw"`
	Wheel   wheelFacts  `fact:"wheel"`
}

type (
	partsFacts struct {
		ground
		Names []string `fact:"names" says:"what the parts of the corner are called, without their numbers"`
		Back  bool     `fact:"back" says:"each part was taken off and is back on"`
	}

	bagFacts struct {
		ground
		Done    bool `fact:"done" says:"small parts are in a labelled bag"`
		Pieces  int  `fact:"pieces" says:"how many"`
		Emptied bool `fact:"emptied" says:"a photograph shows the bag empty, after the parts went back on"`
	}

	lineFacts struct {
		ground
		Touched bool     `fact:"touched" says:"a line of the corner was opened or closed"`
		Closed  bool     `fact:"closed" says:"it was opened, and each place is closed again"`
		Open    []string `fact:"open" says:"places that are open"`
	}

	washerFacts struct {
		ground
		Needed bool `fact:"needed" says:"a line was opened that seals with washers"`
		Done   bool `fact:"done" says:"new ones went in after the last opening"`
		Least  int  `fact:"least" says:"the fewest new washers on any joint"`
		Photos int  `fact:"photos" says:"photographs of the new ones"`
	}

	// jointFacts are the facts of one joint of the card in one corner.
	jointFacts struct {
		ground
		Done     bool   `fact:"done" says:"tightened since it was last loose"`
		Inside   bool   `fact:"inside" says:"each reading is inside its specification, with a tool in calibration"`
		Guarded  bool   `fact:"guarded" says:"inside also with the tool's tolerance to either side"`
		Complete bool   `fact:"complete" says:"all bolts that the card gives the joint"`
		Bolts    int    `fact:"bolts" says:"how many bolts were tightened"`
		Marked   bool   `fact:"marked" says:"a paint line was drawn"`
		Photos   int    `fact:"photos" says:"photographs with it"`
		Verdict  string `fact:"verdict" says:"of the worst reading: inside with guard band, inside only on the plain reading, outside, not proven"`
	}

	bleedFacts struct {
		ground
		Begun   bool    `fact:"begun" says:"the corner was bled at least once"`
		Done    bool    `fact:"done" says:"bled without bubbles after the last opening of its line"`
		DrawnML float64 `fact:"drawn_ml" says:"fluid drawn by the last bleeding, in mL"`
	}

	screwFacts struct {
		ground
		Done     bool    `fact:"done" says:"a torque of the bleeder screw was written with the last bleeding"`
		Torque   float64 `fact:"torque" says:"in N·m"`
		ToolGood bool    `fact:"tool_good" says:"with a registered tool in calibration"`
	}

	wheelFacts struct {
		ground
		Done      bool    `fact:"done" says:"fitted after the last work behind it"`
		TwoSteps  bool    `fact:"two_steps" says:"snug in the air, then full on the ground"`
		Crosswise bool    `fact:"crosswise" says:"star or cross pattern in both steps"`
		ToolGood  bool    `fact:"tool_good" says:"the full step with a registered tool in calibration"`
		Torque    float64 `fact:"torque" says:"of the full step in N·m"`
		Nuts      int     `fact:"nuts" says:"how many nuts or bolts"`
	}
)

// cornerFacts works out the facts of a corner.
func (w *work) cornerFacts(c *cornerWork) *cornerFacts {
	f := &cornerFacts{
		Name: string(c.corner.Corner), Parts: c.partsBack(), Bag: c.bag(),
		Line: w.line(c), Washers: c.washers(), Joints: make(joints),
		Bleed: w.bleed(c), Screw: w.screw(c), Wheel: w.wheel(c),
	}
	for name := range w.card.Joints {
		f.Joints[name] = w.joint(c, name)
	}
	return f
}
