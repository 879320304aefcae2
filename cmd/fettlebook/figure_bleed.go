package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/sheet"
)

type figureBleed struct {
	Events []string `arg:"" optional:"" name:"event" help:"What happened, in order: \"open RF banjo\", \"close RF banjo\", \"bleed RF\", at some of its bleeder screws \"bleed RF inner\" or \"bleed RF 1\", \"bubbles RF\", \"top\", \"dry\"; NC stands for what lies ahead of all corners. Several may stand in one, with commas between."`

	Driver string `enum:",left,right" default:"" help:"Where the driver sits, and with the driver the master cylinder: left or right." placeholder:"left"`
	Split  string `enum:",rear,diagonal" default:"" help:"Which wheels share a circuit: rear for front and rear, or diagonal." placeholder:"rear"`
	Manual string `help:"The order that the vehicle’s manual gives, which takes precedence." placeholder:"\"RR LR RF LF\""`

	Screws []string `name:"screws" sep:"none" help:"The bleeder screws of a corner that has several, by name or by number, such as \"RF: inner, outer\"; can be given again." placeholder:"\"RF: 2\""`

	Start entered  `group:"Reservoir" help:"How full it was at the start, from MIN to MAX or above MIN." placeholder:"\"80 %\""`
	Span  entered  `group:"Reservoir" help:"The volume from MIN to MAX." placeholder:"\"120 mL\""`
	Rest  entered  `group:"Reservoir" help:"The volume below MIN before air is drawn in." placeholder:"\"40 mL\""`
	Steps []string `group:"Reservoir" name:"step" sep:"none" help:"What was drawn at a corner, poured in and then seen, such as \"RR: out 60 mL, in 50 mL, seen 70 %\"; can be given again." placeholder:"STEP"`

	Fluid string `group:"Fluid" help:"What the system holds: DOT 3, DOT 4, DOT 5, DOT 5.1 or mineral oil." placeholder:"\"DOT 4\""`
	Add   string `group:"Fluid" help:"What is to be added to it." placeholder:"\"DOT 5.1\""`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run prints what was asked of a bleeding.
func (c *figureBleed) Run(t *terminal) error { return t.figure("bleed", c.JSON, c.work) }

func (c *figureBleed) work(in *intake) (s sheet.Sheet, err error) {
	ordered := c.Driver != "" || c.Split != "" || c.Manual != ""
	reservoir := c.Start != "" || len(c.Steps) > 0
	switch {
	case !ordered && len(c.Events) > 0:
		return s, wrongUse("say in which order the vehicle is bled: --driver and --split, or --manual")
	case len(c.Events) == 0 && len(c.Screws) > 0:
		return s, wrongUse("say what happened, such as \"bleed RF inner\"; --screws is for what is still to be bled")
	case !ordered && !reservoir && c.Fluid == "":
		return s, wrongUse("say what to work out: an order with --driver and --split, a reservoir with --start and --step, or a fluid with --fluid")
	case c.Fluid == "" && c.Add != "":
		return s, wrongUse("say what the system holds, with --fluid")
	}
	if ordered {
		err = c.bleed(in, &s)
	}
	if err == nil && reservoir {
		err = c.balance(in, &s)
	}
	if err == nil && c.Fluid != "" {
		err = c.mix(in, &s)
	}
	return s, err
}

// bleed works out the order, and what is still to be bled.
func (c *figureBleed) bleed(in *intake, s *sheet.Sheet) error {
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
	s.Join(order.Sheet())
	if len(c.Events) == 0 {
		return nil
	}
	s.Verdicts = nil // how the bleeding stands says more
	fitted, err := c.bleeders(in)
	if err != nil {
		return err
	}
	var events []bleed.Event
	for _, text := range strings.FieldsFunc(strings.Join(c.Events, ","), func(r rune) bool { return r == ',' || r == ';' }) {
		in.typed(fmt.Sprintf("event %d", len(events)+1), strings.TrimSpace(text))
		event, err := eventOf(text, fitted)
		if err != nil {
			return err
		}
		events = append(events, event)
	}
	state, err := bleed.Complete(events, order.Corners, fitted)
	s.Under("state", state.Sheet())
	return err
}

// eventOf reads "open RF banjo".
func eventOf(text string, fitted map[bleed.Corner]bleed.Bleeders) (bleed.Event, error) {
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
		return bledOf(corner, where, fitted)
	case "bubbles":
		return bleed.Bubbled(corner), nil
	case "top":
		return bleed.Topped(), nil
	case "dry":
		return bleed.RanDry(), nil
	}
	return bleed.Event{}, fmt.Errorf("the event %q is not known: write open, close, bleed or bubbles and a corner, such as open RF banjo, or top, or dry", strings.TrimSpace(text))
}
