package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json/jsontext"
)

type showSchema struct {
	Kind string `arg:"" optional:"" help:"The kind to show in full, such as torque.applied; or a command that reports, such as jobs or \"hub tablets\", to print the JSON Schema of what it prints with --json."`
	JSON bool   `name:"json" help:"Print the JSON Schema (2020-12) of the kind’s data, or those of all kinds."`
}

// Run shows all kinds, or one in full.
func (c *showSchema) Run(_ context.Context, t *terminal) error {
	if c.Kind == "" {
		if c.JSON {
			return printSchemas(t.Out)
		}
		return listKinds(t.Out)
	}
	if of, ok := reports()[c.Kind]; ok {
		return of.printSchema(t.Out, c.Kind)
	}
	kind := journal.Kind(c.Kind)
	if !kind.Known() {
		return notFound("the kind %s is not known; `fettlebook schema` lists the kinds%s", oneLine(c.Kind), didYouMean(c.Kind, slices.Collect(journal.Kinds())))
	}
	if c.JSON {
		raw, err := journal.Schema(kind)
		if err != nil {
			return err
		}
		_, err = t.Out.Write(raw)
		return err
	}
	return showKind(t.Out, kind)
}

// kindSchema is one kind in the list of all.
type kindSchema struct {
	Kind    journal.Kind   `json:"kind"`
	Version int            `json:"version"`
	About   string         `json:"about"`
	Places  []string       `json:"places,omitempty"` // forms of subject; none means any
	Schema  jsontext.Value `json:"schema"`
}

func printSchemas(out io.Writer) error {
	var all []kindSchema
	for k := range journal.Kinds() {
		raw, err := journal.Schema(k)
		if err != nil {
			return err
		}
		all = append(all, kindSchema{k, k.Version(), k.About(), k.Places(), raw})
	}
	return printReport(out, "schema", all)
}

// heading returns the words above all kinds that are about the same as this one.
func heading(k journal.Kind) string {
	ofJobs := func(place string) bool {
		word := journal.Subject(place).Word()
		return word == "job" || word == "run"
	}
	switch places := k.Places(); {
	case len(places) == 0:
		return "About anything"
	case slices.ContainsFunc(places, ofJobs):
		return "About a job, its corners and parts, and the runs that parts go through"
	default:
		return "The shop’s register: devices, people, customers’ cards, what is on the shelf"
	}
}

// listKinds writes every kind with its fields; those that may be left out
// stand in brackets.
func listKinds(out io.Writer) error {
	w := bufio.NewWriter(out)
	var headings []string
	under := make(map[string][]journal.Kind)
	for k := range journal.Kinds() {
		h := heading(k)
		if under[h] == nil {
			headings = append(headings, h)
		}
		under[h] = append(under[h], k)
	}
	for _, h := range headings {
		fmt.Fprintf(w, "%s\n\n", h)
		if err := listGroup(w, under[h]); err != nil {
			return err
		}
	}
	fmt.Fprint(w, "Fields in brackets may be left out. Every kind may have photographs and a note.\n`fettlebook schema KIND` shows units and choices; with --json, the JSON Schema.\n")
	return w.Flush()
}

func listGroup(w io.Writer, kinds []journal.Kind) error {
	for _, k := range kinds {
		s, err := shapeOf(k)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "  %-19s %s\n", k, k.About())
		wrap(w, strings.Repeat(" ", 22), "", fieldNames(s))
	}
	fmt.Fprintln(w)
	return nil
}

func fieldNames(s *shape) string {
	var names []string
	for _, m := range s.Properties {
		switch {
		case common(m.Name):
		case slices.Contains(s.Required, m.Name):
			names = append(names, m.Name)
		default:
			names = append(names, "["+m.Name+"]")
		}
	}
	return strings.Join(names, " ")
}

// common reports whether every kind has the field.
func common(name string) bool { return name == photosField || name == "note" }

// showKind writes one kind with the fields, units and choices it has.
func showKind(out io.Writer, kind journal.Kind) error {
	s, err := shapeOf(kind)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(out)
	fmt.Fprintf(w, "%s — %s\n", kind, kind.About())
	if places := kind.Places(); len(places) > 0 {
		fmt.Fprintf(w, "about a %s\n", strings.Join(places, ", or a "))
	}
	fmt.Fprintln(w)
	showFields(w, s, "  ")
	fmt.Fprint(w, "  [photos]  with --photo FILE[:WHAT]\n  [note]    a text\n\nFields in brackets may be left out.\n")
	return w.Flush()
}

func showFields(w io.Writer, s *shape, margin string) {
	for _, m := range s.Properties {
		if common(m.Name) {
			continue
		}
		name := m.Name
		if !slices.Contains(s.Required, name) {
			name = "[" + name + "]"
		}
		words := m.words()
		if m.Name == partsField {
			words = "a list of parts, each as JOB/CORNER/PART"
		}
		wrap(w, margin, name+"  ", words)
		inner := &m.shape
		if inner.Items != nil {
			inner = inner.Items
		}
		showFields(w, inner, margin+"    ")
	}
}

// words says in plain words what a field takes.
func (s *shape) words() string {
	switch {
	case s.Type == "array":
		return "a list, each " + s.Items.words()
	case s.Type == "object" && len(s.Properties) > 0:
		return "with fields of its own:"
	case s.Type == "object":
		return "a JSON object"
	case s.Type == "boolean":
		return "true or false"
	case s.Type == "integer":
		return "a whole number"
	case len(s.Enum) > 0:
		return "one of: " + strings.Join(s.Enum, " | ")
	case s.Description == "":
		return "a text"
	case len(s.Units) > 0:
		return fmt.Sprintf("a number as typed and its unit, such as %s; units: %s", s.Examples[0], strings.Join(different(s.Units), ", "))
	case len(s.Examples) == 0 || strings.HasPrefix(s.Description, "the name of"):
		return s.Description
	}
	return s.Description + ", such as " + s.Examples[0]
}

// different leaves out the further spellings of a unit: N.m, Nm; ft-lbs.
func different(units []string) (kept []string) {
	for _, spelling := range units {
		if !slices.ContainsFunc(kept, func(usual string) bool { return unit.Alike(usual, spelling) }) {
			kept = append(kept, spelling)
		}
	}
	return kept
}

// textWidth is the longest line, in characters.
const textWidth = 96

// wrap writes a text after a label, broken at spaces; its further lines stand
// under its first.
func wrap(w io.Writer, margin, label, text string) {
	line := margin + label
	hanging := strings.Repeat(" ", utf8.RuneCountInString(line))
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > textWidth:
			fmt.Fprintln(w, line)
			line = hanging
		default:
			line += " "
		}
		line += word
	}
	if text != "" || label != "" {
		fmt.Fprintln(w, line)
	}
}
