package card

// Joints are the facts of a corner's joints by their names on the card.
type Joints map[string]*JointFacts

// CornerFacts are the facts of one corner of the vehicle.
type CornerFacts struct {
	Name    string      `fact:"name" says:"LF, RF, LR or RR"`
	Parts   PartsFacts  `fact:"parts"`
	MakeUp  JoinFacts   `fact:"makeup"`
	Bag     BagFacts    `fact:"bag"`
	Line    LineFacts   `fact:"line"`
	Washers WasherFacts `fact:"washers"`
	Joints  Joints      `fact:"joints"`
	Bleed   BleedFacts  `fact:"bleed"`
	Screw   ScrewFacts  `fact:"screw"`
	Wheel   WheelFacts  `fact:"wheel"`
}

type (
	PartsFacts struct {
		Names []string `fact:"names" says:"what the parts of the corner are called, without their numbers"`
		Back  bool     `fact:"back" says:"each part was taken off and is back on"`
	}

	// JoinFacts are what the parts of a corner were stated to have together.
	JoinFacts struct {
		Line     string `fact:"line" says:"how the brake line joins: banjo, flare nut or none; empty if nothing was stated"`
		Bleeders int    `fact:"bleeders" says:"how many bleeder screws"`
	}

	BagFacts struct {
		Done    bool `fact:"done" says:"small parts are in a labelled bag"`
		Pieces  int  `fact:"pieces" says:"how many"`
		Emptied bool `fact:"emptied" says:"a photograph shows the bag empty, after the parts went back on"`
	}

	LineFacts struct {
		Touched bool     `fact:"touched" says:"a line of the corner was opened or closed"`
		Closed  bool     `fact:"closed" says:"it was opened, and each place is closed again"`
		Open    []string `fact:"open" says:"places that are open"`
		Banjo   bool     `fact:"banjo" says:"it joins by a banjo where it was opened, or nobody wrote yet where it was"`
		Flare   bool     `fact:"flare" says:"it joins by a flare nut where it was opened"`
	}

	WasherFacts struct {
		Needed bool `fact:"needed" says:"a line was opened that seals with washers, or nobody wrote yet where it was opened"`
		Done   bool `fact:"done" says:"new ones went in after the last opening"`
		Least  int  `fact:"least" says:"the fewest new washers on any joint"`
		Photos int  `fact:"photos" says:"photographs of the new ones"`
	}

	// JointFacts are the facts of one joint of the card in one corner.
	JointFacts struct {
		Done     bool   `fact:"done" says:"tightened since it was last loose"`
		Inside   bool   `fact:"inside" says:"each reading is inside its specification, or as printed where that has no limits, with a tool in calibration"`
		Guarded  bool   `fact:"guarded" says:"inside also with the tool’s tolerance to either side"`
		Needed   bool   `fact:"needed" says:"a part of the corner has the joint, or nobody stated what it has"`
		Stated   bool   `fact:"stated" says:"a part of the corner was stated to have it"`
		Complete bool   `fact:"complete" says:"all bolts that the parts have there, or that the figure, or else the card, gives the joint"`
		Bolts    int    `fact:"bolts" says:"how many bolts were tightened"`
		Marked   bool   `fact:"marked" says:"a paint line was drawn"`
		Photos   int    `fact:"photos" says:"photographs with it"`
		Verdict  string `fact:"verdict" says:"of the worst reading: inside with guard band, inside only on the plain reading, as printed, by convention, outside, not proven"`
	}

	BleedFacts struct {
		Begun   bool    `fact:"begun" says:"the corner was bled at least once"`
		Done    bool    `fact:"done" says:"bled without bubbles at all its bleeder screws after the last opening of its line"`
		DrawnML float64 `fact:"drawn_ml" unit:"mL" says:"fluid drawn by the last bleeding, in mL"`
	}

	ScrewFacts struct {
		Done     bool    `fact:"done" says:"a torque of each bleeder screw was written when it was bled"`
		Torque   float64 `fact:"torque" unit:"N·m" says:"in N·m"`
		ToolGood bool    `fact:"tool_good" says:"with a registered tool in calibration"`
		ByHand   bool    `fact:"by_hand" says:"closed by hand feel, and the maker gives no figure"`
	}

	WheelFacts struct {
		Off       bool    `fact:"off" says:"work went on behind the wheel, or it was fitted"`
		Done      bool    `fact:"done" says:"fitted after the last work behind it"`
		Snug      bool    `fact:"snug" says:"tightened snug in the air after the last work behind it"`
		TwoSteps  bool    `fact:"two_steps" says:"snug in the air, then full on the ground"`
		Crosswise bool    `fact:"crosswise" says:"star or cross pattern in both steps"`
		ToolGood  bool    `fact:"tool_good" says:"the full step with a registered tool in calibration"`
		Inside    bool    `fact:"inside" says:"the full step is inside the vehicle’s figure, on as many nuts as that says"`
		Torque    float64 `fact:"torque" unit:"N·m" says:"of the full step in N·m"`
		Nuts      int     `fact:"nuts" says:"how many nuts or bolts"`
	}
)
