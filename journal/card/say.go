package card

import (
	"strings"

	"fettlebook/journal/trade/unit"
)

// Say puts figures into a text of the card. {name} stands for the figure of
// that name in its limits, and {60 °C} for itself. Each is in the units of a
// shop and as it writes them, with the card's own beside it where that is another:
// "140 °F (60 °C)".
// What else stands in braces stays.
func (c *Card) Say(text string, in unit.System) string {
	return placeholder.ReplaceAllStringFunc(text, func(braced string) string {
		own, ok := c.figure(braced)
		if !ok {
			return braced
		}
		if shown, _ := in.Shown(own); shown != own {
			return in.Writing.Number(shown + " (" + own + ")")
		}
		return in.Writing.Number(own)
	})
}

// figure is what stands in braces: a limit of the card, or a quantity.
func (c *Card) figure(braced string) (figure string, ok bool) {
	figure = strings.Trim(braced, "{}")
	if l, named := c.Limits[figure]; named {
		return l.String(), true
	}
	_, ok = unit.System{}.Shown(figure)
	return figure, ok
}
