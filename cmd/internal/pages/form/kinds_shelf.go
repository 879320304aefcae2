package form

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/facts"
)

// shelfSheets are the forms of the shop's register, which the hub keeps. A
// photograph goes with those that are copied from a paper or a label, or that
// tell what was done to a machine.
func shelfSheets() []Sheet {
	return []Sheet{
		{Kind: journal.PersonAdded, Title: "A person", Act: "Put on the register", Fields: []Field{
			text("person", "Short name").must().help("Such as io. It appears in every entry; full names stay out of the journal."),
			text("initials", "Initials in the stamps").must(),
			{Name: "duties", Label: "Authorised for", Control: Several, Words: journal.Duty("").Words()},
			keep("card"),
		}},
		{Kind: journal.PersonRetired, Title: "No longer works here", Act: "Take off the register", Fields: []Field{
			pick("person", "Person", "person").must(),
		}},
		{Kind: journal.PowderReceived, Title: "A powder lot", Act: "Put on the shelf", Shows: "label of the box", Fields: []Field{
			text("lot", "Lot").must().help("As on the box."),
			text("colour", "Colour").must(),
			choice("chemistry", "Binder", journal.Chemistry("").Words()).must(),
			kilograms("mass", "Mass"),
			{Name: "schedule", Label: "Bake schedule", Control: Rows, Help: "Metal temperature and time at it, as on the data sheet.", Cells: []Field{
				celsius("metal", "Metal at").must(), minutes("hold", "Held for").must(),
			}},
			{Name: "most", Label: "Longest bake allowed", Control: Rows, Help: "Only if the data sheet gives one: metal temperature and the longest time at it.", Cells: []Field{
				celsius("metal", "Metal at").must(), minutes("hold", "Held for").must(),
			}},
			film("film_low", "Film from"),
			film("film_high", "Film to"),
			text("sheet", "Data sheet").help("Its name and revision."),
			date("use_by", "Use by"),
			date("opened", "Opened on"),
			text("storage", "How it is stored").inUnits(storage),
		}},
		{Kind: journal.FluidOpened, Title: "Brake fluid opened", Act: "Put on the shelf", Shows: "label of the container", Fields: []Field{
			text("fluid", "Name of the container").must(),
			choice("grade", "Grade", journal.FluidGrade("").Words()).must(),
			litres("volume", "Volume"),
			text("batch", "Batch"),
			date("use_by", "Use by"),
			date("opened", "Open since").help("If it was not opened today."),
		}},
		{Kind: journal.KitReceived, Title: "A kit of parts", Act: "Put on the shelf", Shows: "label of the kit", Fields: []Field{
			text("kit", "Name of the kit").must().help("Short, to be written on the bag: ks-7."),
			items("contents", "What is in it", "square-section seal", "dust boot", "pin boot", "copper washer", "bleeder screw", "guide pin").must(),
			text("maker", "Made by"),
			text("number", "Maker’s number"),
			text("supplier", "From"),
			text("batch", "Batch"),
			date("use_by", "Use by"),
		}},
		{Kind: journal.ToolRegistered, Title: "A tool or gauge", Act: "Put on the shelf", Fields: []Field{
			text("tool", "Name").must().help("Short, as marked on it: tw-1."),
			choice("what", "Kind", journal.ToolKind("").Words()).must(),
			text("serial", "Serial number"),
			torqueOf("low", "Lowest marked value").help("For a torque tool; below it the tool proves nothing."),
			torqueOf("high", "Highest marked value"),
			quantity("tolerance", "Tolerance of reading", 1, "%"),
		}},
		{Kind: journal.ToolChecked, Title: "Tool checked", Shows: "certificate", Fields: []Field{
			pick("tool", "Tool", "tool").must(),
			choice("result", "Result", journal.CheckResult("").Words()).must(),
			text("certificate", "Certificate"),
			date("due", "Next check by"),
			count("cycles", "Or after so many uses").by(500),
		}},
		{Kind: journal.EquipmentServiced, Title: "Equipment serviced", Shows: "what was done", Fields: []Field{
			pick("tool", "Machine", "tool").must(),
			choice("done", "What was done", journal.ServiceKind("").Words()).must(),
			date("on", "Done on").help("If it was not done today."),
			date("due", "Due again on"),
			celsius("set", "Oven set to").help("For a survey of an oven."),
			tick("loaded", "Load", "loaded as usual"),
			{Name: "places", Label: "Places in the oven", Control: Rows, Help: "What a probe read at each place, once it was steady.", Cells: []Field{
				text("place", "Where", "by the door, low", "middle", "back, high").must(),
				celsius("reads", "Reading").must(),
			}},
			text("media", "Filled with").inUnits(media),
		}},
		{Kind: journal.SpecRecorded, Title: "A joint’s figure", Act: "Put on the shelf", Shows: "printed figure", Fields: []Field{
			text("spec", "Name").must().help("Short, such as banjo-front."),
			text("joint", "Joint", "banjo bolt", "bracket bolts", "guide pin bolts", "wheel nuts").must(),
			torqueOf("nominal", "Nominal"),
			torqueOf("low", "From"),
			torqueOf("high", "To"),
			torqueOf("tolerance", "Tolerance to either side").more(),
			quantity("general", "The manual’s general tolerance", 1, "%").more().help("For figures that are printed without one of their own."),
			count("angle", "Then a further angle, in degrees").by(15),
			count("bolts", "How many bolts"),
			tick("single_use", "Single use", "used once only"),
			choice("thread", "Threads", journal.ThreadState("").Words()).more().help("For which the figure holds."),
			choice("from", "Printed in", journal.SpecSource("").Words()).must(),
			text("page", "Page"),
			list("fits", "For which vehicles", "two-door, solid discs", "estate, vented discs").help("As the shop calls them. It is a vehicle’s own figure if all these words stand in what the vehicle looks like. A figure that names vehicles is borrowed on all others, and proves nothing there."),
			list("vins", "Or by their VINs").help("The first 8 characters are enough, and name no single vehicle."),
		}},
	}
}

// anySheets are the forms of what may happen at any time.
func anySheets() []Sheet {
	return []Sheet{
		{Kind: journal.PhotoTaken, Title: "A photograph"},
		{Kind: journal.NoteMade, Title: "A remark"},
		{Kind: journal.PhotoMarked, Title: "Mark something on a copy", Fields: []Field{
			keep("of").must(),
			{Name: "marks", Label: "Marks", Control: Rows, Required: true, Help: "Tap the place on the picture, or type it: shares of the picture from its left edge and from its top; the radius of its width. The photograph itself stays as it is.", Cells: []Field{
				pick("photo", "Photograph", "photo").must(),
				text("says", "What is to be seen", "pinhole", "chip", "bare seat", "line across head and seat").must(),
				choice("shape", "Drawn as", journal.MarkShape("").Words()).must(),
				share("x", "From the left").must(),
				share("y", "From the top").must(),
				share("radius", "Radius of a ring"),
			}},
		}},
		{Kind: journal.PhotoWithdrawn, Title: "Withdraw a photograph", Act: "Withdraw it", Fields: []Field{
			keep("photo").must(),
			long("reason", "Reason", "it shows a person", "the customer asked for it").must().help("The picture is deleted for good; that it was here, and why it was withdrawn, stays in the record."),
		}},
		{Kind: journal.HoldWaived, Title: "Waive a hold point", Act: "Waive it", Fields: []Field{
			pick("hold", "Hold point", "hold").must(),
			long("reason", "Reason", "the customer was told and agrees").must().help("It is printed in the record."),
		}},
		{Kind: journal.SecondChecked, Title: "Second check", Fields: []Field{
			refer("of", "Work that you checked").none("You did this work yourself. Somebody else must look. (In a shop of one: look again in " + fmt.Sprint(facts.LookAgainAfter.Minutes()) + " minutes, with a new photograph.)"),
			choice("finds", "Finding", journal.Concurring("").Words()).must(),
			list("tried", "Tried by hand", "bracket bolts", "guide pin bolts", "banjo bolt", "bleeder screws", "wheel nuts").help("In a shop of one, say what you tried by hand when you looked again."),
		}},
		{Kind: journal.OrderStated, Title: "Which was done first?", Act: "Stamp the order", Fields: []Field{
			refer("first", "This was done first"),
			keep("then").must(), // the other of the two
			long("how", "How you know", "I was there when the other was done", "the photographs show it").must().help("It is printed, with your initials, on every paper of this job."),
		}},
	}
}
