package card

// PartFacts are the facts of one part.
type PartFacts struct {
	Name     string        `fact:"name" says:"what the part is called, without its number"`
	Tag      TagFacts      `fact:"tag"`
	MakeUp   MakeUpFacts   `fact:"makeup"`
	Coat     CoatFacts     `fact:"coat"`
	Strip    StripFacts    `fact:"strip"`
	Degrease WashFacts     `fact:"degrease"`
	Blast    BlastFacts    `fact:"blast"`
	Soak     SoakFacts     `fact:"soak"`
	Order    OrderFacts    `fact:"order"`
	Mask     MaskFacts     `fact:"mask"`
	Plugs    PlugFacts     `fact:"plugs"`
	Powder   PowderFacts   `fact:"powder"`
	Lot      LotFacts      `fact:"lot"`
	Cure     CureFacts     `fact:"cure"`
	Heat     HeatFacts     `fact:"heat"`
	Film     FilmFacts     `fact:"film"`
	Adhesion AdhesionFacts `fact:"adhesion"`
	Dew      DewFacts      `fact:"dew"`
	Defects  DefectFacts   `fact:"defects"`
	Seats    SeatFacts     `fact:"seats"`
	Rebuild  RebuildFacts  `fact:"rebuild"`
	Refit    RefitFacts    `fact:"refit"`

	Conditions ConditionFacts `fact:"conditions"`
}

type (
	TagFacts struct {
		Done    bool   `fact:"done" says:"the part has a tag"`
		Tag     string `fact:"tag" says:"its tag in this job"`
		Number  string `fact:"number" says:"the shop’s own number in its metal"`
		Pattern string `fact:"pattern" says:"the foundry’s pattern, which many castings share"`
		Mark    string `fact:"mark" says:"what was read on it before number and pattern were told apart"`
		Metal   string `fact:"metal" says:"iron, aluminium, steel, zinc die casting, zinc-plated steel or not known"`
	}

	// MakeUpFacts are what the part was stated to have.
	MakeUpFacts struct {
		Stated   bool   `fact:"stated" says:"what the part has was stated"`
		Bores    int    `fact:"bores" says:"how many bores"`
		Threads  int    `fact:"threads" says:"how many threads"`
		Seats    int    `fact:"seats" says:"how many seats"`
		Lands    int    `fact:"lands" says:"how many lands"`
		Rubber   int    `fact:"rubber" says:"how many rubber parts"`
		Bleeders int    `fact:"bleeders" says:"how many bleeder screws"`
		Line     string `fact:"line" says:"banjo, flare nut or none; empty if nothing was stated"`
		Parking  string `fact:"parking_brake" says:"none, electric, cable or drum in the hat; empty if nothing was stated"`
	}

	// CoatFacts are of what is meant to become of the part.
	CoatFacts struct {
		Wanted bool `fact:"wanted" says:"the part is coated: nobody stated that it goes back without a coat, or there is powder on it all the same"`
	}

	StripFacts struct {
		Done   bool `fact:"done" says:"stripped, with no rubber left in; all that the part has, by name and count; or it came without any"`
		Begun  bool `fact:"begun" says:"somebody wrote that rubber was taken out of it, or that it came without any"`
		Heated bool `fact:"heated" says:"the part was in heat since it is being coated"`
		Cooked bool `fact:"cooked" says:"it was in heat with rubber in it"`
	}

	WashFacts struct {
		Done    bool `fact:"done" says:"degreased before this coat"`
		Residue bool `fact:"residue" says:"it met heat after a chlorinated degreaser"`
		Wet     bool `fact:"wet" says:"it met heat while it was wet with solvent"`
	}

	BlastFacts struct {
		Done            bool    `fact:"done" says:"blasted before this coat"`
		MinutesToPowder float64 `fact:"minutes_to_powder" unit:"min" says:"from the last blasting to the powder; 0 until there is powder"`
	}

	SoakFacts struct {
		Done            bool    `fact:"done" says:"heated before the powder to drive gas out"`
		Clean           bool    `fact:"clean" says:"a rag stayed clean after the soak"`
		Hot             bool    `fact:"hot" says:"the metal was measured, and as hot as the bake makes it"`
		Minutes         float64 `fact:"minutes" unit:"min" says:"how long the metal was so hot, over all soaks of this coat"`
		MinutesToPowder float64 `fact:"minutes_to_powder" unit:"min" says:"from the last soak to the powder; 0 until there is powder"`
	}

	OrderFacts struct {
		Begun bool     `fact:"begun" says:"there is powder on the part"`
		Wrong []string `fact:"wrong" says:"what was done in the wrong order: degreased, blasted, masked, coated; soaked between the first and the last of these"`
	}

	MaskFacts struct {
		Done     bool `fact:"done" says:"masked for this coat"`
		Covered  bool `fact:"covered" says:"masking was in at every powder of this coat; all that the part has, by name and count"`
		Features int  `fact:"features" says:"how many bores, threads and seats are covered"`
		Photos   int  `fact:"photos" says:"photographs with the masking, of any part of its corner"`
	}

	PlugFacts struct {
		Counted bool `fact:"counted" says:"plugs were counted out after the last masking"`
		Named   bool `fact:"named" says:"out of each bore and thread that the part has, by name and count"`
		InTime  bool `fact:"in_time" says:"the last were counted out before the part went back on"`
		In      int  `fact:"put_in" says:"plugs put in, over all coats of the job"`
		Out     int  `fact:"taken_out" says:"plugs counted out, over all coats of the job"`
	}

	PowderFacts struct {
		Done     bool `fact:"done" says:"there is powder on the part"`
		Coats    int  `fact:"coats" says:"coats that are on"`
		Received bool `fact:"received" says:"each lot’s receipt is here"`
		Schedule bool `fact:"schedule" says:"each lot has a bake schedule"`
	}

	// LotFacts are of the powder lots that are on.
	LotFacts struct {
		Expired bool `fact:"expired" says:"a lot was past the date on its box when it went on"`
	}

	CureFacts struct {
		Baked    bool    `fact:"baked" says:"each coat was in a bake"`
		Verdict  string  `fact:"verdict" says:"of the worst coat: schedule met, schedule met only on the lenient reading, schedule not met, not proven"`
		Proven   bool    `fact:"proven" says:"each coat met its schedule, by a probe on the part or on one that stands for it"`
		Lenient  bool    `fact:"lenient" says:"each coat met its schedule at least on the lenient reading"`
		Strict   float64 `fact:"strict" says:"schedule fraction of the worst coat, strict reading"`
		Index    float64 `fact:"index" says:"the most heat that a coat had, as a schedule fraction"`
		Overbake string  `fact:"overbake" says:"empty, or what speaks of too much heat: the powder’s sheet, or a colour shift"`
	}

	HeatFacts struct {
		Minutes  float64 `fact:"minutes" unit:"min" says:"above 150 °C over the life of the casting"`
		Runs     int     `fact:"runs" says:"soaks and bakes that count"`
		Measured bool    `fact:"measured" says:"all of it by probes on the part"`
	}

	FilmFacts struct {
		Done  bool    `fact:"done" says:"film thickness was read after the last bake"`
		Pass  bool    `fact:"pass" says:"inside the specification"`
		Mean  float64 `fact:"mean" unit:"µm" says:"mean of the spots in µm, less the bare metal’s reading"`
		Spots int     `fact:"spots" says:"how many spots"`
	}

	// AdhesionFacts are of the film that is on now.
	AdhesionFacts struct {
		Done  bool `fact:"done" says:"a cross-cut test was made"`
		Worst int  `fact:"worst" says:"the worst class of these tests on the scale of ISO 2409, from 0 to 5; 0 without any"`
	}

	DewFacts struct {
		Known  bool    `fact:"known" says:"air, humidity and metal were read at every powder"`
		Margin float64 `fact:"margin" unit:"K" says:"the least that the metal was above the dew point, in K"`
	}

	DefectFacts struct {
		Found  int `fact:"found" says:"defects on the part"`
		Open   int `fact:"open" says:"defects that nobody decided about"`
		Redo   int `fact:"redo" says:"defects to be stripped and recoated, which was not done yet"`
		Scrap  int `fact:"scrap" says:"defects for which the part is scrapped"`
		Rework int `fact:"rework" says:"how often the part was to be stripped and recoated"`
	}

	// ConditionFacts are how the part, and the line of its corner, were found.
	ConditionFacts struct {
		Found   int `fact:"found" says:"conditions that were found"`
		Open    int `fact:"open" says:"conditions that nobody decided about"`
		Grave   int `fact:"grave" says:"what can fail on the road and nobody decided about: cracks, stripped threads, hoses and lines; also a hose or line that was to be replaced and of which no new one was written down"`
		Refused int `fact:"refused" says:"the part was not to go back on, or its casting was to be replaced, and it is back"`
	}

	SeatFacts struct {
		Done   bool `fact:"done" says:"seats were looked at since the last heat; all that the part has, by name and count, before it went back on"`
		Bare   bool `fact:"bare" says:"no film is left on any of them"`
		InTime bool `fact:"in_time" says:"before the part went back on"`
		Photos int  `fact:"photos" says:"photographs of the seats, of any part of its corner"`
	}

	RebuildFacts struct {
		Done     bool `fact:"done" says:"rebuilt since the last heat; with all rubber that the part has, by name and count"`
		NewParts int  `fact:"new_parts" says:"new seals, boots and the like"`
		InTime   bool `fact:"in_time" says:"before the part went back on"`
	}

	RefitFacts struct {
		Back    bool   `fact:"back" says:"the part is back on the vehicle"`
		Bleeder string `fact:"bleeder" says:"up, down or none"`
	}
)
