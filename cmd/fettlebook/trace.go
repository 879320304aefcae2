package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/trace"
	"fettlebook/journal/words"
)

type traceTerm struct {
	Term   []string `arg:"" help:"A VIN, plate, casting number, pattern, tag, customer’s name, lot, kit, fluid, tool or its serial number, run, day, month or words of an entry; with --people somebody who works here."`
	All    bool     `help:"List all vehicles, and not only the last ones."`
	People bool     `help:"Trace the work of one person too."`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// Help says what is found and how.
func (*traceTerm) Help() string {
	return `Of a part or a vehicle it lists what touched it, by time, with what was known of each then, and who else shares any of it. Of a thing, a run or a person it lists the vehicles that share it, the last one first: where each is, whom to call, and which hold points rest on it. Of a tool or an oven those count that came after it was last found good. Of a part it also tells the life of its casting over all jobs: each coat with its soak, its bakes and the heat that the metal has had by then, defects, what was replaced, and what is not known.

A number, plate, VIN or serial number with one slip in it is found too, and the answer says so. Days are written as 2026-03-01, 2026-03, or 2026-03-01..2026-03-14. What is found under several names is listed; copy the name in the first column to trace it.`
}

// traced is a trace with the customers' names.
type traced struct {
	*trace.Trace
	Call map[journal.CardID]journal.Details `json:"call,omitempty"`

	in words.Writing
}

// Run traces a term.
func (c *traceTerm) Run(ctx context.Context, t *terminal) error {
	term := strings.TrimSpace(strings.Join(c.Term, " "))
	if term == "" {
		return &exit.Error{Status: exit.Usage, Sentence: "say what to trace, such as a plate, a casting number or a lot"}
	}
	out := traced{Call: make(map[journal.CardID]journal.Details)}
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) error {
		out.in = s.view.Shop.Writing()
		out.Trace = trace.Of(s.view, term, trace.Options{Customers: true, People: c.People})
		for _, v := range out.Right {
			if card, err := s.log.Card(ctx, v.Customer); v.Customer != "" && err == nil { // erased, or not here: nobody can be named
				out.Call[v.Customer] = card.Details
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	if out.Untold {
		return &exit.Error{Status: exit.NotFound, Sentence: "what the work of one person touched is told at the desk only; or with --people"}
	}
	if out.Of == nil && len(out.Choices) == 0 {
		return &exit.Error{Status: exit.NotFound, Sentence: oneLine(strings.Join(out.Says, " "))}
	}
	if c.JSON {
		return printReport(t.Out, "trace", out)
	}
	return out.write(t.Out, c.All)
}

// fewDone is how much of what a person did is named.
const fewDone = 4

// listedVehicles is how many vehicles are listed unless all are asked for.
const listedVehicles = 25

func (t *traced) write(out io.Writer, all bool) error {
	for _, says := range t.Says {
		fmt.Fprintln(out, oneLine(says))
	}
	if t.Of == nil {
		fmt.Fprintln(out, "Several things fit:")
		w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
		for _, n := range t.Choices {
			fmt.Fprintf(w, "  %s\t%s\t%s\n", oneLine(string(n.Of)), oneLine(n.Name), oneLine(words.Commas(n.Known...)))
		}
		return w.Flush()
	}
	fmt.Fprintf(out, "%s (%s)\n", strings.ToUpper(oneLine(t.Of.Name)), oneLine(string(t.Of.Of)))
	if t.Life != nil {
		writeLife(out, t.Life, t.in)
	}
	if len(t.Left) > 0 {
		fmt.Fprintln(out, "WHAT TOUCHED IT, AND WHAT WAS KNOWN OF IT THEN")
	}
	for _, n := range t.Left {
		fmt.Fprintf(out, "  %s  %s%s\n", t.in.Moment(n.At), oneLine(n.Name), shares(n))
		if n.What == "person" && len(n.Known) > fewDone {
			fmt.Fprintf(out, "      – %s and %d more\n", oneLine(strings.Join(n.Known[:fewDone], ", ")), len(n.Known)-fewDone)
			continue
		}
		for _, k := range n.Known {
			fmt.Fprintf(out, "      – %s\n", oneLine(k))
		}
	}
	return t.writeVehicles(out, all)
}

func shares(n *trace.Node) string {
	if n.Shares == nil {
		return ""
	}
	return ", shared with " + words.Count(*n.Shares, "other vehicle")
}

func (t *traced) writeVehicles(out io.Writer, all bool) error {
	since := ""
	if t.Since != nil {
		since = " SINCE IT WAS LAST FOUND GOOD, " + t.in.Day(t.Since.At)
	}
	if len(t.Right) == 0 {
		_, err := fmt.Fprintf(out, "NO OTHER VEHICLE SHARES IT%s\n", since)
		return err
	}
	fmt.Fprintf(out, "WHO SHARES IT%s: %s%s\n", since, words.Count(t.Total, "vehicle"), words.If(t.Cut, ", and there are earlier uses"))
	for i, v := range t.Right {
		if i == listedVehicles && !all {
			fmt.Fprintf(out, "  and %d more; --all lists them\n", len(t.Right)-i)
			break
		}
		fmt.Fprintf(out, "  %s  job %s, %s%s\n", oneLine(v.Name), v.Job, oneLine(words.Commas(v.Looks, v.Where(t.in))), words.If(len(v.Parts) > 0, ": "+parted(v.Parts)))
		if len(v.Via) > 0 {
			fmt.Fprintf(out, "      shares %s\n", list(v.Via))
		}
		if who, ok := t.Call[v.Customer]; ok {
			fmt.Fprintf(out, "      call %s\n", oneLine(words.Commas(who.Name, who.Phone, who.Mail)))
		}
		if v.Tell > 0 {
			fmt.Fprintf(out, "      %s to tell the customer; `fettlebook next %s` says what\n", words.Count(v.Tell, "thing"), v.Job)
		}
		for _, h := range v.Holds {
			fmt.Fprintf(out, "      hold point %s: %s%s\n", oneLine(h.Title), h.State, words.If(h.Times > 1, fmt.Sprintf(" (%d times)", h.Times)))
		}
		if v.Unasked {
			fmt.Fprintf(out, "      `fettlebook holds %s` says which hold points rest on it\n", v.Job)
		}
	}
	return nil
}

func parted(parts []journal.Subject) string {
	var list []string
	for _, p := range parts {
		list = append(list, p.Place())
	}
	return oneLine(words.Commas(list...))
}
