package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bleed"
)

type figureBleed struct {
	Events []string `arg:"" optional:"" name:"event" help:"What happened, in order: \"open RF banjo\", \"close RF banjo\", \"bleed RF\", \"bubbles RF\", \"top\", \"dry\"; NC stands for what lies ahead of all corners. Several may stand in one, with commas between."`

	Driver string `enum:",left,right" default:"" help:"Where the driver sits, and with the driver the master cylinder: left or right." placeholder:"left"`
	Split  string `enum:",rear,diagonal" default:"" help:"Which wheels share a circuit: rear for front and rear, or diagonal." placeholder:"rear"`
	Manual string `help:"The order that the vehicle's manual gives, which wins." placeholder:"\"RR LR RF LF\""`

	Start entered  `group:"Reservoir" help:"How full it was at the start, from MIN to MAX or above MIN." placeholder:"\"80 %\""`
	Span  entered  `group:"Reservoir" help:"The volume from MIN to MAX." placeholder:"\"120 mL\""`
	Rest  entered  `group:"Reservoir" help:"The volume below MIN before air is drawn in." placeholder:"\"40 mL\""`
	Steps []string `group:"Reservoir" name:"step" sep:"none" help:"What was drawn at a corner, poured in and then seen, such as \"RR: out 60 mL, in 50 mL, seen 70 %\"; can be given again." placeholder:"STEP"`

	Fluid string `group:"Fluid" help:"What the system holds: DOT 3, DOT 4, DOT 5, DOT 5.1 or mineral oil." placeholder:"\"DOT 4\""`
	Add   string `group:"Fluid" help:"What is to be filled on it." placeholder:"\"DOT 5.1\""`
	JSON  bool   `name:"json" help:"Print JSON."`
}

type (
	// bleedFigure is the JSON of a bleeding. What was not asked for is left out. Corners
	// are LF, RF, LR and RR.
	bleedFigure struct {
		worksheet
		Order     []bleed.Corner  `json:"order,omitempty"`
		State     *bleedState     `json:"state,omitzero"`
		Reservoir *bleedReservoir `json:"reservoir,omitzero"`
		Boiling   []bleedBoiling  `json:"boiling,omitempty"`
		Mixing    *bleedMixing    `json:"mixing,omitzero"`
	}

	// bleedState is where the bleeding stands after the last event.
	bleedState struct {
		Complete bool           `json:"complete"`
		Bled     []bleed.Corner `json:"bled"`
		Need     []bleedNeed    `json:"need"`
		Open     []bleedOpening `json:"open"`
	}

	bleedNeed struct {
		Corner bleed.Corner `json:"corner"`
		Why    string       `json:"why"`
	}

	bleedOpening struct {
		Corner bleed.Corner `json:"corner,omitzero"` // left out ahead of all corners
		Where  string       `json:"where,omitzero"`
	}
)

// Run prints what was asked of a bleeding.
func (c *figureBleed) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureBleed) work() (*bleedFigure, error) {
	ordered := c.Driver != "" || c.Split != "" || c.Manual != ""
	reservoir := c.Start != "" || len(c.Steps) > 0
	switch {
	case !ordered && len(c.Events) > 0:
		return nil, wrongUse("say in which order the vehicle is bled: --driver and --split, or --manual")
	case !ordered && !reservoir && c.Fluid == "":
		return nil, wrongUse("say what to work out: an order with --driver and --split, a reservoir with --start and --step, or a fluid with --fluid")
	case c.Fluid == "" && c.Add != "":
		return nil, wrongUse("say what the system holds, with --fluid")
	}
	f := &bleedFigure{worksheet: worksheet{Figure: "bleed"}}
	in := intake{worksheet: &f.worksheet}
	if ordered {
		if err := f.bleed(&in, c); err != nil {
			return nil, err
		}
	}
	if reservoir {
		if err := f.balance(&in, c); err != nil {
			return nil, err
		}
	}
	if c.Fluid != "" {
		if err := f.mix(&in, c); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// bleed works out the order, and what is still to be bled.
func (f *bleedFigure) bleed(in *intake, c *figureBleed) error {
	vehicle := bleed.Vehicle{Driver: bleed.Side(c.Driver), Split: bleed.Split(c.Split)}
	if c.Split == "rear" {
		vehicle.Split = bleed.FrontRear
	}
	for _, corner := range strings.FieldsFunc(c.Manual, func(r rune) bool { return r == ',' || r == ' ' }) {
		vehicle.Manual = append(vehicle.Manual, bleed.Corner(strings.ToUpper(corner)))
	}
	in.typed("driver", c.Driver)
	in.typed("split", string(vehicle.Split))
	in.typed("manual", c.Manual)
	order, err := bleed.OrderOf(vehicle)
	if err != nil {
		return err
	}
	f.Order = order.Corners
	f.result("order", "%s", corners(order.Corners))
	f.Limits = append(f.Limits, limit{"order", corners(order.Corners), order.Source, "--manual"})
	f.Warnings = append(f.Warnings, order.Warnings...)
	if len(c.Events) == 0 {
		f.Verdict = append(f.Verdict, order.Say())
		return nil
	}
	var events []bleed.Event
	for _, text := range strings.FieldsFunc(strings.Join(c.Events, ","), func(r rune) bool { return r == ',' || r == ';' }) {
		in.typed(fmt.Sprintf("event %d", len(events)+1), strings.TrimSpace(text))
		event, err := eventOf(text)
		if err != nil {
			return err
		}
		events = append(events, event)
	}
	state, err := bleed.Complete(events, order.Corners)
	if err != nil {
		return err
	}
	f.stand(state)
	return nil
}

// eventOf reads "open RF banjo".
func eventOf(text string) (bleed.Event, error) {
	words := strings.Fields(text)
	var verb, where string
	var corner bleed.Corner
	if len(words) > 0 {
		verb = strings.ToLower(words[0])
	}
	if len(words) > 1 {
		corner = bleed.Corner(strings.ToUpper(words[1]))
		where = strings.Join(words[2:], " ")
	}
	if (verb == "open" || verb == "close") && corner == "NC" {
		corner = ""
	} else if corner == "" && verb != "top" && verb != "dry" {
		verb = ""
	}
	switch verb {
	case "open":
		return bleed.Opened(corner, where), nil
	case "close":
		return bleed.Closed(corner, where), nil
	case "bleed":
		return bleed.Bled(corner), nil
	case "bubbles":
		return bleed.Bubbled(corner), nil
	case "top":
		return bleed.Topped(), nil
	case "dry":
		return bleed.RanDry(), nil
	}
	return bleed.Event{}, fmt.Errorf("the event %q is not known: write open, close, bleed or bubbles and a corner, such as open RF banjo, or top, or dry", strings.TrimSpace(text))
}

func (f *bleedFigure) stand(s bleed.State) {
	g := &bleedState{Complete: s.Complete, Bled: s.Bled}
	for _, n := range s.Need {
		g.Need = append(g.Need, bleedNeed{n.Corner, n.Why})
		f.result("bleed "+string(n.Corner), "%s", n.Why)
	}
	for _, o := range s.Open {
		g.Open = append(g.Open, bleedOpening{o.Corner, o.Where})
	}
	f.State = g
	if len(s.Bled) > 0 {
		f.result("bled", "%s", corners(s.Bled))
	}
	f.Formula = append(f.Formula, "a corner is bled when its last bleeding came after its last opening, without bubbles and with nothing open")
	f.Limits = append(f.Limits, limit{"corners", "each bled after its last opening", s.Source, ""})
	f.Warnings = append(f.Warnings, s.Warnings...)
	f.Verdict = append(f.Verdict, s.Say())
}

func corners(all []bleed.Corner) string {
	words := make([]string, len(all))
	for i, c := range all {
		words[i] = string(c)
	}
	return strings.Join(words, ", ")
}
