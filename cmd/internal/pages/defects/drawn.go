package defects

import "fettlebook/journal"

// drawing is a look from above and cut through. From above it lies between 3
// and 47, the surface of the film at 66 and that of the metal at 82.
type drawing struct{ above, cut, tells string }

// path is a line; dot a filled speck.
func path(d string) string { return `<path d="` + d + `"/>` }

func dots(d string) string { return `<path stroke-width="4" d="` + d + `"/>` }

// drawn returns the drawing of a look, and false of something else.
func drawn(look journal.Look) (drawing, bool) {
	switch look {
	case journal.Pinhole:
		return drawing{dots("M52 22h0M66 30h0M60 14h0M78 20h0"), path("M3 66H56L58 82M62 82L64 66H117"), "tiny hole, right through the film"}, true
	case journal.Crater:
		return drawing{`<circle cx="60" cy="25" r="17"/><circle cx="60" cy="25" r="11"/>`, path("M3 66H34Q40 59 45 66Q60 86 75 66Q80 59 86 66H117"), "round hollow, wider than deep, with a rim; its floor is covered"}, true
	case journal.FisheyeLook:
		return drawing{`<circle cx="60" cy="25" r="18"/><circle cx="60" cy="25" r="13"/>` + dots("M60 25h0"), path("M3 66H30Q38 56 43 68Q46 78 52 82M68 82Q74 78 77 68Q82 56 90 66H117") + dots("M60 79h0"), "round, with a rim and a shiny centre that may reach the metal"}, true
	case journal.Blister:
		return drawing{`<circle cx="60" cy="25" r="17"/>` + path("M51 18Q56 12 64 14"), path("M3 66H34Q60 36 86 66H117M40 82Q60 54 80 82"), "dome; the film is whole, and hollow beneath"}, true
	case journal.Run:
		return drawing{path("M3 12H28V30A6 6 0 0 0 40 30V12H66V36A7 7 0 0 0 80 36V12H117"), path("M3 66H56Q70 66 78 58Q92 44 100 60Q103 66 117 66"), "thick drip or curtain towards a lower edge"}, true
	case journal.OrangePeelLook:
		return drawing{path("M9 14q6 -7 12 0t12 0M45 12q6 -7 12 0t12 0M81 14q6 -7 12 0t12 0M16 27q6 -7 12 0t12 0M52 26q6 -7 12 0t12 0M86 28q6 -7 12 0t12 0M9 40q6 -7 12 0t12 0M45 40q6 -7 12 0t12 0M81 41q6 -7 12 0t12 0"),
			path("M3 66q6 -8 12 0t12 0 12 0 12 0 12 0 12 0 12 0 12 0 12 0"), "even waves all over, like the skin of an orange"}, true
	case journal.InclusionLook:
		return drawing{dots("M48 20l5 4M80 34h0") + path("M66 14q12 4 6 14"), path("M3 66H46Q60 52 74 66H117") + dots("M57 72l6 -3"), "speck or fibre that is held in the film"}, true
	case journal.Chip:
		return drawing{path("M44 14L58 10 74 17 79 30 62 39 50 35 41 25Z"), path("M3 66H40L46 82M76 82L72 74 80 66H117"), "piece broken out, with sharp edges"}, true
	case journal.Peel:
		return drawing{path("M3 25H50L70 12 104 20 92 38 58 40 50 25"), path("M3 66H48Q78 62 100 44L106 53Q82 74 50 82"), "film that comes off in sheets"}, true
	case journal.BareSpot:
		return drawing{path("M40 25Q42 11 58 13T84 22Q86 38 68 38T40 25Z"), path("M3 66H30Q40 67 43 82M77 82Q80 67 90 66H117"), "no film at all, with a soft edge: it was never covered"}, true
	case journal.ThinSpot:
		return drawing{`<ellipse cx="60" cy="25" rx="28" ry="14" stroke-dasharray="4 5"/>`, path("M3 66H26Q40 78 60 78T94 66H117"), "covered, but thinly"}, true
	case journal.RoughSpot:
		return drawing{dots("M38 18h0M46 30h0M54 16h0M60 27h0M66 38h0M70 18h0M78 29h0M84 20h0M52 38h0"), path("M3 66H28l4 -6 4 7 5 -9 5 8 4 -6 5 7 4 -10 5 9 5 -6 4 8 5 -9 5 8 4 -5 3 4H117"), "grainy to the finger"}, true
	case journal.SoftFilm:
		return drawing{path("M46 34Q46 12 60 12T74 34M52 36Q52 19 60 19T68 36M60 26V38"), path("M3 66H46Q52 66 57 76Q60 80 63 76Q68 60 76 66H117M52 50L60 72 64 52"), "takes the mark of a fingernail"}, true
	case journal.BrittleFilm:
		return drawing{path("M60 25L48 9M60 25L84 12M60 25L92 30M60 25L66 43M60 25L36 36M60 25L32 20M46 31L62 34M74 17L76 28"), path("M3 66H40l4 6 -5 10M40 66H56l-4 8 6 8M56 66H76l5 7 -4 9M76 66H117"), "breaks into flakes when it is knocked or bent"}, true
	case journal.Crack:
		return drawing{path("M20 34L36 26 48 31 62 18 78 24 100 12"), path("M3 66H58l3 6 -4 5 3 5M62 66H117"), "line through the film, both sides of which still hold"}, true
	case journal.Wrinkle:
		return drawing{path("M20 12q10 8 4 16t6 14M38 10q10 10 4 18t6 14M56 11q10 8 4 16t6 14M74 10q10 10 4 18t6 14M92 12q10 8 4 16t6 14"), path("M3 66H20q4 -16 8 0t5 0q5 -18 9 0t5 -1q5 -16 9 1t6 0q4 -18 9 0t6 0q5 -14 8 0H117"), "close, irregular folds"}, true
	case journal.OffColour:
		return drawing{path("M60 3V47M60 15L72 3M60 27L84 3M60 39L96 3M64 47L108 3M76 47L117 6M88 47L117 18M100 47L117 30"), path("M3 66H117M60 66V82M60 78L72 66M68 82L84 66M80 82L96 66M92 82L108 66M104 82L117 69"), "colour that differs from the panel or from what lies beside it"}, true
	case journal.OffGloss:
		return drawing{path("M60 3V47M12 36L30 12M20 40L44 8M34 40L50 18"), path("M3 66H60l3 -2 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3 3 -3 3 3"), "shine that differs, with the colour right"}, true
	case journal.LiftedEdge:
		return drawing{path("M70 3q6 8 0 15t2 14q4 8 -2 15M78 5q6 8 0 14t2 13q4 7 -1 13"), path("M3 66H62Q84 64 94 48L100 55Q90 76 70 82"), "film that stands up at a masked edge"}, true
	case journal.RustSpot:
		return drawing{`<circle cx="60" cy="25" r="12" stroke-dasharray="3 4"/>` + dots("M57 22h0M63 24h0M59 29h0"), path("M3 66H50Q56 60 60 60T70 66H117M48 82Q60 94 72 82M55 82Q57 70 60 60Q63 70 65 82"), "brown spot that comes through the film"}, true
	case journal.RustUnderFilm:
		return drawing{path("M3 30q12 -10 20 0t18 -2 16 6M41 28q6 -12 18 -8t22 -4M57 34q10 6 22 0t26 2"), path("M3 66H24Q34 58 44 66T64 62Q78 54 90 66H117M28 82Q36 72 46 82M58 82Q74 66 88 82"), "threads or bumps beneath a film that is whole"}, true
	case journal.ScratchLook:
		return drawing{path("M16 40L102 8M30 42L74 26"), path("M3 66H52L60 80 68 66H117"), "straight line, cut by something hard"}, true
	}
	return drawing{}, false
}
