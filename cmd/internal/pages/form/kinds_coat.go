package form

import (
	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/journal"
)

// coatSheets are the forms of soak, powder and bake.
func coatSheets() []Sheet {
	return []Sheet{
		{Kind: journal.PartSoaked, Title: "Soaked", Fields: []Field{
			pick("oven", "Oven", "oven").again(),
			celsius("set", "Oven set to").must().again(),
			celsius("metal", "Metal reached").told(),
			minutes("held", "Held for").must(),
			choice("rag", "White rag afterwards", journal.Rag("").Words()),
			dry(),
		}},
		{Kind: journal.PowderApplied, Title: "Powder on", Fields: []Field{
			pick("lot", "Powder lot", "lot").must().again(),
			count("coat", "Coat").must().help("1 is the first on the metal."),
			celsius("metal", "Metal").by(1),
			celsius("air", "Air").by(1),
			quantity("humidity", "Humidity", 1, "%"),
			quantity("charge", "Charge", 5, "kV").again().more(),
			quantity("earth", "Part to earth", 0.1, "MΩ", "kΩ", "Ω").more(),
			share("reclaimed", "Reclaimed powder").by(5).more(),
			date("booth_cleaned", "Booth cleaned on").more(),
			text("last_colour", "Colour sprayed before").more(),
			positions(),
		}},
		{Kind: journal.BakeStarted, Title: "Into the oven", Fields: []Field{
			pick("oven", "Oven", "oven").again(),
			celsius("set", "Oven set to").must().again(),
			kilograms("load", "Load").more(),
			probes(),
			standIns(),
			positions(),
			dry().more(),
		}},
		{Kind: journal.CureCompleted, Title: "Bake ended", Fields: []Field{
			choice("means", "Judged by", journal.CureMeans("").Words()).must(),
			celsius("metal", "Metal").help("Measured on the part."),
			minutes("held", "Held for").must().by(1).told(),
		}},
		{Kind: journal.PartCooled, Title: "Cooled", Fields: []Field{
			celsius("to", "Cooled to"),
			text("how", "How", "still air", "fan").again(),
		}},
		{Kind: journal.BoreUnmasked, Title: "Plugs out", Fields: []Field{
			count("plugs", "Plugs and caps out").must().help("Counted in the hand, not from memory."),
			items("features", "Places unplugged", "piston bore", "guide pin bore", "bleeder thread", "banjo thread"),
		}},
	}
}

// positions are where parts hang.
func positions() Field {
	return Field{Name: "positions", Label: "Where parts hang", Control: Rows, More: true, Help: "A defect of one hook, or of one place in the oven, shows only if it is known which part hung there.",
		Cells: []Field{
			pick("part", "The part", "part").must(),
			text("rack", "Rack"),
			text("hook", "Hook"),
			text("place", "Place", "by the door", "middle", "back, high"),
		}}
}

// dry is the last look at parts before heat.
func dry() Field { return tick("dry", "Parts dry", "the parts were dry, no solvent left") }

// probes are where the temperature sensors of a bake sit.
func probes() Field {
	on := pick("on", "On the part", "part")
	return Field{Name: "probes", Label: "Probes", Control: Rows, Help: "Only a probe on the part shows what the part itself had.",
		Cells: []Field{
			text("channel", "Channel", "1", "2", "3", "4").must().again(), // which is where stays with the recorder
			text("place", "Where it sits", "thick section by the pin bore", "oven air").must().again(),
			on,
			pick("tool", "Sensor", "thermocouple"),
		}}
}

// standIns are parts without a probe for which one stands.
func standIns() Field {
	return Field{Name: "stand_ins", Label: "Parts without a probe", Control: Rows, Help: "A probe may stand for a part of the same kind that weighs at most as much as its own.",
		Cells: []Field{
			pick("part", "The part", "part").must(),
			text("probe", "Channel that stands for it").must(),
			choice("is", "Compared with the part that has the probe", journal.Weight("").Words()).must(),
		}}
}

// judgeSheets are the forms of inspection.
func judgeSheets() []Sheet {
	return []Sheet{
		{Kind: journal.FilmMeasured, Title: "Film measured", Fields: []Field{
			pick("gauge", "Gauge", "film gauge").again(),
			{Name: "spots", Label: "Spots", Control: Rows, Required: true, Help: "Three readings within a small circle make a spot.", Cells: []Field{
				text("place", "Where", "outer face", "flank", "edge", "bridge", "ear").must(),
				film("readings", "Readings").must().help("82 79 84"),
			}},
			film("base", "On bare blasted metal").help("The mean reading there, whether the gauge subtracts it or not."),
			film("low", "Specified from").again().more(),
			film("high", "Specified to").again().more(),
		}},
		{Kind: journal.AdhesionTested, Title: "Adhesion tested", Fields: []Field{
			choice("scale", "Scale", journal.AdhesionScale("").Words()).must().again().help("One counts up from 0, the other down from 5B."),
			text("class", "Class", "0", "1", "2", "5B", "4B", "3B").must(),
			choice("on", "Tested on", journal.TestPiece("").Words()).must(),
		}},
		{Kind: journal.SolventRubbed, Title: "Solvent rub", Fields: []Field{
			text("solvent", "Solvent").must().again(),
			count("double_rubs", "Double rubs").must().by(5).again(),
			text("result", "Result", "no change", "slight dulling", "softened", "colour on the rag").must(),
			choice("on", "Tested on", journal.TestPiece("").Words()).must(),
		}},
		{Kind: journal.DefectFound, Title: "Defect of the coat", Fields: []Field{
			choice("looks", "What is seen", journal.Look("").Words()).must().drawn(defects.Path, defects.Tells).help("What it looks like, whatever it comes from. The drawings show it from above and cut through; the hatched is metal."),
			text("face", "Where", "outer face", "flank", "edge", "bridge", "ear").must(),
			choice("seen", "Seen", journal.DefectStage("").Words()).must(),
			count("count", "How many"),
			length("size", "Size", 0.1, "µm", "mil"),
			{Name: "causes", Label: "Possible causes", Control: Rows, Help: "Only if somebody has an idea; it is kept apart from what was seen.", Cells: []Field{
				choice("cause", "Cause", journal.Cause("").Words()).must(),
				choice("sure", "How sure", journal.HowSure("").Words()).must(),
				text("how", "Shown by"),
			}},
			choice("named", "Name in the trade", journal.DefectName("").Words()).more(),
			choice("outline", "On the drawing", journal.Outline("").Words()).more(),
			share("x", "From the left").more(),
			share("y", "From the top").more(),
			{Name: "marks", Label: "Marks on photographs", Control: Rows, More: true, Help: "Tap the place on the photograph, or write where it is: shares of the picture, from its left edge and from its top; the radius of its width.", Cells: []Field{
				pick("photo", "Photograph", "photo").must(),
				share("x", "From the left").must(),
				share("y", "From the top").must(),
				share("radius", "Radius"),
			}},
			pick("run", "From the bake", "run").more(),
		}},
		{Kind: journal.ReworkDecided, Title: "What is done about it", Fields: []Field{
			refer("of", "Defect"),
			choice("decision", "Decision", journal.ReworkDecision("").Words()).must(),
			long("reason", "Reason").must(),
		}},
	}
}
