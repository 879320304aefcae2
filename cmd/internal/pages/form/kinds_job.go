package form

import "fettlebook/journal"

// counterSheets are the forms from the counter to the stands.
func counterSheets() []Sheet {
	return []Sheet{
		{Kind: journal.JobOpened, Title: "Job opened", Fields: append([]Field{
			text("vehicle.plate", "Plate"),
			text("vehicle.vin", "VIN").help("As it is on the vehicle."),
			text("vehicle.looks", "What the car looks like"),
			odometer(),
			{Name: "corners", Label: "Corners", Control: Several, Words: journal.Corner("").Words(), Help: "NC is for parts of the whole car."},
			long("wish", "Wanted"),
			date("ready", "Promised for"),
		}, append(warranty(), keep("customer.card"), keep("customer.commitment"), keep("terms"), keep("route"), keep("edition"), keep("claim"))...)},
		{Kind: journal.JobPromised, Title: "What was promised", Fields: append([]Field{
			date("ready", "Ready by"),
			long("reason", "Why another day", "a part comes late", "the customer asked for it"),
		}, warranty()...)},
		{Kind: journal.VehicleReceived, Title: "As it came in", Fields: []Field{
			odometer(),
			list("found", "Damage and faults already there", "scratched rim", "rusty brake pipe", "torn boot", "seized bleeder", "dented wing", "nothing found").help("Seen before any work."),
			yesno("agreed", "The customer’s answer to the list", "accepted", "not accepted yet"),
		}},
		{Kind: journal.ManualRead, Title: "What the vehicle asks for", Fields: []Field{
			choice("fluid", "Fluid", journal.FluidGrade("").Words()),
			list("order", "Bled in this order", "LF", "RF", "LR", "RR").help("All four corners, by the vehicle’s manual."),
			choice("parking_brake", "Parking brake", journal.ParkingKind("").Words()),
			choice("from", "Read from", journal.ReadFrom("").Words()).must(),
			text("page", "Page"),
		}},
		{Kind: journal.ColourApproved, Title: "Colour approved", Fields: []Field{
			text("sample", "Sample").must().help("Which one the customer held and accepted, as it is marked."),
			text("code", "Code").help("As the customer or the maker of the powder calls it."),
			text("gloss", "Gloss", "matt", "satin", "glossy"),
			text("texture", "Texture", "smooth", "fine texture", "coarse texture"),
			pick("lot", "Lot that the sample was coated from", "lot"),
		}},
		{Kind: journal.VehicleRaised, Title: "On stands", Fields: []Field{
			text("points", "Stands bear at", "sills, front and rear", "axle beam", "subframe").must().again(),
			count("stands", "Stands"),
			tick("lift", "Lift", "on a lift"),
		}},
	}
}

// warranty is for how long the shop is liable for its work.
func warranty() []Field {
	return []Field{
		count("warranty.months", "Warranty, in months").by(6).more(),
		distance("warranty.distance", "Or up to this distance", 1000).more(),
		long("warranty.words", "What it covers, and what ends it").more(),
		list("excludes", "Asked at a complaint", "Was it driven on a track?", "Was a wheel cleaner with acid used?").more().help("Questions that can be answered with yes or no. A yes lies outside the warranty."),
		keep("warranty.terms"),
	}
}

// told is how the customer was told of something.
func told() []Field {
	return []Field{
		choice("told.how", "Customer told by", journal.ContactWay("").Words()),
		date("told.on", "Told on").more().help("If it was not today."),
		text("told.answer", "The customer said", "go on", "replace it", "wait").more(),
	}
}

// stripSheets are the forms of taking apart.
func stripSheets() []Sheet {
	return []Sheet{
		{Kind: journal.PartRemoved, Title: "Part off", Fields: []Field{
			text("condition", "Condition", "sound", "rusty", "old coating loose", "leaking", "seized"),
			tick("supplied", "Where it came from", "the customer brought the part").more(),
		}},
		{Kind: journal.PartTagged, Title: "Tagged", Fields: []Field{
			text("tag", "Tag").must().help("What is written on the tag that is tied to it."),
			text("number", "Casting number").help("The shop’s own, punched or etched into the metal. By it this casting is known again years later."),
			text("pattern", "Pattern").help("The foundry’s mark. Many castings bear the same one."),
			keep("mark"), // of entries that did not tell the two apart
			choice("metal", "Metal", journal.Metal("").Words()).must(),
		}},
		{Kind: journal.CastingMatched, Title: "The same casting as", Fields: []Field{
			pick("as", "The same casting as", "other life").must().help("A part of an earlier job. Parts with the same number, pattern or mark are offered."),
			text("how", "Known by", "the number in the metal", "the same damage", "the same repair", "old coating of ours").must(),
		}},
		{Kind: journal.ConditionFound, Title: "Damage found", Fields: append([]Field{
			choice("condition", "Found", journal.ConditionName("").Words()).must(),
			text("where", "Where", "piston bore", "upper ear", "lower ear", "guide pin bore", "bleeder thread", "pad land", "hose", "pipe").must(),
			length("measure", "How deep, long or bent", 0.1, "µm"),
			choice("decision", "Decision", journal.ConditionDecision("").Words()).help("It may be made later, in an entry of its own."),
			long("reason", "Reason"),
		}, told()...)},
		{Kind: journal.ConditionDecided, Title: "Decision about damage", Fields: append([]Field{
			refer("of", "What was found"),
			choice("decision", "Decision", journal.ConditionDecision("").Words()).must(),
			long("reason", "Reason").must(),
		}, told()...)},
		{Kind: journal.PartDescribed, Title: "What it has", Fields: []Field{
			text("preset", "Preset").more(),
			items("bores", "Bores", "piston bore", "guide pin bore", "mounting hole", "bush bore").help("What is plugged before powder, counted on the part."),
			items("threads", "Threads", "bleeder thread", "banjo thread", "mounting thread"),
			items("seats", "Seats", "bleeder seat", "banjo face", "bolt seat", "mating face").help("What has to be bare when the part goes back on."),
			items("lands", "Lands", "pad land", "pad abutment", "O-ring land"),
			items("rubber", "Rubber", "square-section seal", "dust boot", "pin boot", "bush"),
			count("bleeders", "Bleeder screws").must(),
			choice("line", "The brake line joins by", journal.LineJoin("").Words()).must(),
			{Name: "joints", Label: "Bolts", Control: Rows, Usual: []string{"banjo bolt", "guide pin bolt", "mounting bolt", "bracket bolt"}, Cells: []Field{
				text("joint", "Joint").must(),
				count("bolts", "How many").must(),
				tick("single_use", "Fitted once only", "single-use"),
			}},
			choice("parking_brake", "Parking brake", journal.ParkingKind("").Words()).must(),
			tick("uncoated", "Coat", "goes back without a coat"),
			tick("came_bare", "When it came", "there was no rubber in it").help("A new casting, or one that was bought bare. Never of a part that was taken off the vehicle. New rubber still has to go in."),
		}},
		{Kind: journal.HardwareBagged, Title: "Small parts bagged", Fields: []Field{
			text("bag", "Bag").must().help("What is written on the bag."),
			items("items", "In the bag", "guide pin", "bolt", "clip", "shim", "boot", "banjo bolt").must(),
		}},
		{Kind: journal.PartStripped, Title: "Stripped of all rubber", Fields: []Field{
			list("removed", "Removed", "piston", "square-section seal", "dust boot", "bleeder screw", "guide pin", "pin boot").must(),
			items("out", "Rubber removed", "square-section seal", "dust boot", "pin boot", "bush"),
			choice("rubber", "Rubber", journal.Rubber("").Words()).must(),
		}},
		{Kind: journal.PartDegreased, Title: "Degreased", Fields: []Field{
			text("agent", "Cleaner", "alkaline bath", "hot wash", "water-based cleaner").must().again(),
			yesno("chlorinated", "Chlorinated", "yes", "no").help("Its residue gives poisonous gas when it is heated."),
			choice("left", "Dry or wet", journal.Wetness("").Words()).help("Nothing that is wet with solvent goes into the oven."),
		}},
		{Kind: journal.PartBlasted, Title: "Blasted", Fields: []Field{
			text("media", "Media").inUnits(media).must().again(),
			pressure("pressure", "Pressure").again(),
			minutes("took", "Time taken").by(1).more(),
			pick("cabinet", "Cabinet", "blast cabinet").again().more(),
		}},
		{Kind: journal.BoreMasked, Title: "Masked", Fields: []Field{
			items("features", "Masked places", "piston bore", "pin bore", "bleeder seat", "banjo face", "thread", "pad land", "bolt seat").must(),
			count("plugs", "Plugs and caps in").must().help("The same number must come out again."),
		}},
	}
}
