package main

import (
	"context"
	"fmt"
	"text/tabwriter"

	"fettlebook/journal/card"
	"fettlebook/journal/words"
)

type routeFacts struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Help says how facts are used.
func (*routeFacts) Help() string {
	return `A rule is written in CEL of these facts and of the figures under the card’s limits: part.film.mean >= limits.film_least. Facts of a part may be asked for at a part only, those of a corner at its parts too, those of the vehicle everywhere. Under corner.joints, name stands for a joint of the card. "fettlebook route check" says which fact a card names that there is not.`
}

// Run lists the facts.
func (c *routeFacts) Run(_ context.Context, t *terminal) error {
	facts := card.Vocabulary()
	if c.JSON {
		return printReport(t.Out, "route facts", facts)
	}
	w := tabwriter.NewWriter(t.Out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "FACT\tTYPE\tWHAT IT SAYS")
	for _, f := range facts {
		fmt.Fprintf(w, "%s\t%s\t%s\n", f.Path, f.Type, words.Commas(f.Says, words.Fill("in %s", f.Unit)))
	}
	return w.Flush()
}
