package card

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Change is one difference between two cards.
type Change struct {
	At  string `json:"at"`           // "hold masked: rule"
	Was string `json:"was,omitzero"` // empty if it is new
	Is  string `json:"is,omitzero"`  // empty if it is gone
}

// String returns the change as one line.
func (c Change) String() string {
	switch {
	case c.Was == "":
		return fmt.Sprintf("%s: new: %s", c.At, c.Is)
	case c.Is == "":
		return fmt.Sprintf("%s: removed: %s", c.At, c.Was)
	default:
		return fmt.Sprintf("%s: %s → %s", c.At, c.Was, c.Is)
	}
}

// Diff lists what changed from one card to another, in the order of the cards:
// what is gone or changed where it stood, then what is new.
func Diff(from, to *Card) []Change {
	was, is := from.flat(), to.flat()
	now := make(map[string]string)
	for _, l := range is {
		now[l.at] = l.text
	}
	var changes []Change
	before := make(map[string]bool)
	for _, l := range was {
		before[l.at] = true
		if now[l.at] != l.text {
			changes = append(changes, Change{At: l.at, Was: l.text, Is: now[l.at]})
		}
	}
	for _, l := range is {
		if !before[l.at] {
			changes = append(changes, Change{At: l.at, Is: l.text})
		}
	}
	return changes
}

type line struct{ at, text string }

// flat writes a card as lines that each say one thing.
func (c *Card) flat() []line {
	var list []line
	put := func(at string, text any) {
		if s := strings.TrimSpace(fmt.Sprint(text)); s != "" && s != "[]" && s != "false" {
			list = append(list, line{at, s})
		}
	}
	put("name", c.Name)
	put("edition", c.Edition)
	put("title", c.Title)
	put("bleed order", words.Commas(c.BleedOrder...))
	put("pin", words.Commas(c.PIN...))
	for _, name := range sortedKeys(c.Limits) {
		put("limit "+name, fmt.Sprintf("%s (%s)", c.Limits[name], c.Limits[name].Source))
	}
	for _, name := range sortedKeys(c.Joints) {
		j := c.Joints[name]
		put("joint "+name, fmt.Sprintf("%s; of %s%s; part of the hydraulics: %s; bolts: %d", strings.Join(j.Names, ", "), j.Of, words.Fill("; beside %s", words.Commas(j.Beside...)), words.Choose(j.Hydraulic, "yes", "no"), max(1, j.Bolts)))
	}
	for _, p := range c.Presets {
		put("preset "+p.Name, fmt.Sprintf("for %s; %s", words.Commas(p.Parts...), p.MakeUp().Say()))
	}
	for i := range c.Stages {
		s := &c.Stages[i]
		at := "stage " + s.Name + ": "
		put(at+"after", words.Commas(c.Before(i)...))
		put(at+"title", s.Title)
		put(at+"level", s.Level)
		put(at+"parts", words.Commas(s.Parts...))
		put(at+"when", s.When)
		put(at+"wants", words.Commas(s.Wants...))
		put(at+"may", words.Commas(s.May...))
		for _, p := range s.Photos {
			put(at+"photo "+p.Shows, string(p.On)+words.Fill(", one for the %s", p.For)+words.Fill(", when %s", p.When))
		}
		put(at+"cautions", strings.Join(s.Cautions, " / "))
		put(at+"out of sight", s.OutOfSight)
		for _, h := range s.Holds {
			at := "hold " + string(h.ID) + ": "
			put(at+"stage", s.Name)
			put(at+"title", h.Title)
			put(at+"class", h.Class)
			put(at+"for", h.For)
			put(at+"when", h.When)
			put(at+"once", h.Once)
			put(at+"rule", h.Rule)
			put(at+"reason", h.Reason)
			put(at+"limit", c.Say(h.Limit, unit.System{}))
			put(at+"source", h.Source)
		}
	}
	for _, p := range c.FollowUps {
		put("follow-up "+p.Name, fmt.Sprintf("%s; after %d h; %d to %d km; done by %s; about %s; %s%s",
			p.Title, p.Hours, p.KilometresFrom, p.KilometresTo, words.Commas(p.Kept...), words.Commas(append([]string{p.About}, p.Words...)...), words.Fill("answers %s; ", strings.Join(p.Answers, ", ")), p.Source))
	}
	return list
}
