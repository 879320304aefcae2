package form

import "fettlebook/journal"

// fitSheets are the forms of rebuilding and refitting.
func fitSheets() []Sheet {
	return []Sheet{
		{Kind: journal.PartRebuilt, Title: "Rebuilt", Fields: []Field{
			items("new_parts", "New parts", "square-section seal", "dust boot", "pin boot", "bleeder", "piston", "guide pin", "brake hose", "brake line"),
			{Name: "kits", Label: "From kits", Control: List, Cells: []Field{pick("", "Kit", "kit")}, Help: "So that a bad batch can be found again."},
			{Name: "fitted", Label: "Parts that are not from a kit", Control: Rows, More: true, Cells: []Field{
				text("what", "What").must(), text("maker", "Made by"), text("number", "Maker’s number"), text("supplier", "From"), text("batch", "Batch"),
			}},
			text("lubricant", "Lubricant", "rubber grease", "fresh brake fluid").again(),
		}},
		{Kind: journal.SeatProved, Title: "Seats bare", Fields: []Field{
			items("shown", "Seats and lands", "bolt seat", "banjo face", "bleeder seat", "pad land", "mating face"),
			choice("state", "State", journal.SeatState("").Words()).must(),
			list("seats", "Seats that are named only").more(),
		}},
		{Kind: journal.PartRefitted, Title: "Back on", Fields: []Field{
			choice("bleeder", "Bleeder screw points", journal.BleederAt("").Words()).help("Air collects at the top; a bleeder screw that points down cannot let it out."),
		}},
		{Kind: journal.WasherReplaced, Title: "New washers", Fields: []Field{
			text("joint", "Joint", "banjo bolt", "hose bolt").must().again(),
			count("count", "New washers").must(),
			choice("material", "Material", journal.WasherMaterial("").Words()).must().again(),
			pick("kit", "From kit", "kit").more(),
			text("size", "Size").again().more(),
		}},
		{Kind: journal.LineOpened, Title: "Line opened", Fields: []Field{
			text("at", "Where", "banjo, hose plugged", "bleeder", "pipe at the hose").must().help("What was bled before is bled again."),
			choice("joins", "The line joins by", journal.LineJoint("").Words()).help("A flare nut has no washers."),
		}},
		{Kind: journal.LineConnected, Title: "Line closed", Fields: []Field{
			text("at", "Where", "banjo", "bleeder", "pipe at the hose").must(),
		}},
		{Kind: journal.TorqueApplied, Title: "Torque", Fields: []Field{
			pick("spec", "Figure", "spec").help("The maker’s figure for this joint, as printed."),
			text("joint", "Joint", "banjo bolt", "bracket bolts", "guide pin bolts").must(),
			torqueOf("torque", "Torque").help("Leave it out where only an angle is asked for.").told(),
			pick("tool", "Tool", "torque tool"),
			count("turned", "Then turned further by, in degrees").by(15).help("Where the figure asks for a further angle."),
			count("count", "How many bolts"),
			text("bolt", "Which bolt", "upper", "lower", "front", "rear").help("For an entry about one bolt."),
			tick("new_bolts", "New bolts", "new ones").help("Many of these bolts are used once only."),
			choice("thread", "Threads", journal.ThreadState("").Words()).more(),
			choice("turned_by", "Angle by", journal.AngleBy("").Words()).more(),
			tick("marked", "Witness mark", "a paint line across bolt and seat"),
			choice("pattern", "Order", journal.Pattern("").Words()).more(),
			length("adapter.wrench", "Adapter: drive to grip", 5).more(),
			length("adapter.offset", "Adapter: drive to bolt", 5).more(),
			count("adapter.angle", "Adapter: degrees between").by(15).more().help("0 in line; 90 at a right angle, where the torque needs no correction."),
		}},
		{Kind: journal.ReservoirTopped, Title: "Reservoir", Fields: []Field{
			level("before", "Level before").help("As a share of the way from MIN, 0 %, to MAX, 100 %."),
			level("after", "Level after"),
			volume("added", "Added"),
			volume("span", "From MIN to MAX").more().help("Only if it was measured or is printed; without it the levels are the evidence."),
			pick("fluid", "Fluid", "fluid"),
			tick("ran_dry", "Ran dry", "it ran dry and drew air in"),
		}},
		{Kind: journal.BleedDone, Title: "Bled", Fields: []Field{
			pick("fluid", "Fluid", "fluid").must(),
			volume("drawn", "Drawn").must().told(),
			choice("bubbles", "Bubbles at the end", journal.Bubbles("").Words()).must(),
			count("screws", "Bleeder screws bled").help("One after the other, at this corner. If this is left out, it was one."),
			text("which", "Which bleeder screw", "inner", "outer").more(),
			smallTorque("screw", "Bleeder screw closed with"),
			pick("tool", "Tool", "torque tool"),
			tick("by_hand", "Closed by hand", "by hand, as the maker gives no figure"),
			tick("whole", "Fluid change", "the fluid of the whole system is being changed").help("Then all corners are bled."),
		}},
	}
}

// roadSheets are the forms from the leak check to handover and after.
func roadSheets() []Sheet {
	return []Sheet{
		{Kind: journal.ParkbrakeServiced, Title: "Parking brake", Fields: []Field{
			choice("state", "State", journal.ParkingBrakeState("").Words()).must(),
			quantity("battery", "Battery", 0.1, "V").more(),
			tick("lamp_off", "Lamp", "the warning lamp is off"),
		}},
		{Kind: journal.ParkbrakeTried, Title: "Parking brake tried", Fields: []Field{
			choice("how", "How", journal.TriedHow("").Words()).must(),
			yesno("holds", "The vehicle", "stands still", "moves"),
		}},
		{Kind: journal.LeakChecked, Title: "Leak check", Fields: []Field{
			quantity("held", "Pedal held", 10, "s", "min").must().told(),
			choice("result", "Every joint is", journal.Tightness("").Words()).must(),
		}},
		{Kind: journal.PedalChecked, Title: "Pedal", Fields: []Field{
			choice("feel", "Feel", journal.PedalFeel("").Words()).must(),
		}},
		{Kind: journal.WheelFitted, Title: "Wheel", Fields: []Field{
			choice("step", "Step", journal.WheelStep("").Words()).must(),
			pick("spec", "Figure", "spec").help("The vehicle’s figure for its wheels, as printed."),
			count("nuts", "Nuts or bolts").must(),
			choice("pattern", "Order", journal.Pattern("").Words()).must().again(),
			torqueOf("torque", "Set to").must().told(),
			pick("tool", "Tool", "torque tool").must(),
		}},
		{Kind: journal.RoadTested, Title: "Road test", Fields: []Field{
			distance("distance", "Driven", 1).must().told(),
			text("result", "Result", "straight, no noise", "pulls to the left", "pulls to the right", "noise").must(),
		}},
		{Kind: journal.VehicleReleased, Title: "Hand back", Act: "Hand the vehicle back", Fields: []Field{
			odometer(),
			{Name: "advised", Label: "The customer was told", Control: Several, Words: journal.Advice("").Words()},
			list("told", "Also told").inUnits(besides),
			text("sheet", "Sheet handed over", "care sheet").help("With its edition."),
		}},
		{Kind: journal.RetorqueDone, Title: "Wheel nuts tightened again", Fields: []Field{
			distance("distance", "Driven since handover", 10),
			torqueOf("torque", "Set to").must().told(),
			pick("tool", "Tool", "torque tool").must().again(),
			yesno("moved", "A nut turned before the tool clicked", "yes, one moved", "no, none"),
		}},
		{Kind: journal.ContactMade, Title: "Spoke with the customer", Fields: []Field{
			choice("how", "How", journal.ContactWay("").Words()).must(),
			text("about", "About", "wheel nuts", "first look at the coating", "how it brakes").must(),
			yesno("reached", "Reached", "reached", "nobody answered"),
			long("answer", "Answer"),
			keep("keeps"),
			optional(refer("of", "About what came out").none("Nothing that this job used was recalled, or found bad later.")),
		}},
		{Kind: journal.InvestigationMade, Title: "An investigation", Fields: []Field{
			text("matter", "What was looked into").must(),
			list("looked_at", "Looked at", "the part", "the photographs", "the bake", "the torque entries", "the bag of old parts").must(),
			long("found", "Found").must(),
			long("concluded", "Concluded").must(),
			choice("certainty", "How sure", journal.Certainty("").Words()).must(),
			{Name: "rests", Label: "Entries that it rests on", Control: List, More: true, Cells: []Field{optional(refer("", "Entry").none("No entry is here."))}},
			list("filter", "Of which parts", "defect_pinhole=yes", "pattern=K17", "day>=2026-01"),
			{Name: "decided", Label: "What is done now", Control: Rows, Cells: []Field{choice("outcome", "What", journal.Upshot("").Words()).must(), text("says", "Which")}},
			long("came_of_it", "What came of what was decided before"),
			optional(refer("of", "Goes on with").none("Nothing was looked into before.")),
			choice("defect", "Which defect was asked about", journal.Look("").Words()).more(),
			Field{Name: "counted", Label: "What the parts table counted", Control: Rows, Cells: []Field{
				text("with", "Of parts with"), count("defects", "With the defect").must(), count("parts", "Parts").must(),
			}}.help("A row without a condition is of all that were looked at.").more(),
		}},
		{Kind: journal.RecallMade, Title: "A recall", Act: "Recall it", Shows: "notice of the recall", Fields: []Field{
			long("why", "Why", "the maker recalls this batch", "found out of tolerance").must(),
			long("remedy", "What to do about each vehicle", "call it in and check", "replace it").must(),
			date("since", "Used since").help("If this is left out, all uses are meant."),
			date("until", "Used until"),
		}},
		{Kind: journal.ClaimOpened, Title: "A complaint", Fields: []Field{
			long("says", "In the customer’s words").must(),
			odometer(),
		}},
		{Kind: journal.ClaimDecided, Title: "Complaint settled", Fields: []Field{
			{Name: "answers", Label: "What the warranty asks", Control: Rows, Cells: []Field{
				text("question", "Question").must(), choice("answer", "Answer", journal.ClaimReply("").Words()).must(),
			}},
			refer("of", "Complaint").none("No complaint of this job is open. One that is to be decided anew is decided from its own page."),
			choice("decision", "Decision", journal.ClaimOutcome("").Words()).must(),
			long("reason", "Reason").must(),
			long("maker", "Asked of the powder’s maker").more(),
		}},
	}
}
