package paper

import (
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// side names a corner for who does not work here; "" of none.
func side(c journal.Corner) string {
	switch c {
	case journal.LeftFront:
		return "left front"
	case journal.RightFront:
		return "right front"
	case journal.LeftRear:
		return "left rear"
	case journal.RightRear:
		return "right rear"
	}
	return ""
}

// thing names what a subject in a job is: "left front caliper", "vehicle".
func (t *told) thing(s journal.Subject) string {
	if text := strings.TrimSpace(side(s.Corner()) + " " + t.part(s)); text != "" {
		return text
	}
	return "vehicle"
}

// part is what a part is called. A customer never saw the name under which one is
// entered that takes the place of another.
func (t *told) part(s journal.Subject) string {
	if name := t.replaces[s]; name != "" {
		return name
	}
	return string(s.Part())
}

// replacements name the parts that take the place of others.
func (t *told) replacements() map[journal.Subject]string {
	if t.facts == nil {
		return nil
	}
	names := make(map[journal.Subject]string)
	for _, a := range t.facts.Asides() {
		if a.Instead != "" {
			names[a.Instead] = card.Base(a.Instead.Part()) + " (replacement)"
		}
	}
	return names
}

// mostThings is how many things are named one by one.
const mostThings = 6

// things names several: those that every corner has are named once.
func (t *told) things(list []journal.Subject) string {
	var parts, corners []string
	for _, s := range list {
		parts, corners = append(parts, t.part(s)), append(corners, side(s.Corner()))
	}
	distinct := func(list []string) (out []string) {
		for _, text := range list {
			if !slices.Contains(out, text) {
				out = append(out, text)
			}
		}
		return out
	}
	parts, corners = distinct(parts), distinct(corners)
	if len(corners) > 1 && len(parts)*len(corners) == len(list) && len(parts) <= mostThings && !slices.Contains(corners, "") && !slices.Contains(parts, "") {
		return words.And(corners...) + " " + words.And(parts...)
	}
	var names []string
	for _, s := range list {
		names = append(names, t.thing(s))
	}
	if n := len(names) - mostThings; n > 1 {
		names = append(names[:mostThings], words.Count(n, "other part"))
	}
	return words.And(names...)
}

// day writes the day of a time as the device's clock had it.
func (t *told) day(s journal.Stamp) string { return t.writing().Day(time.Time(s)) }

// vehicle is what is known of a job's vehicle: "moss-green estate, VIN …".
func vehicle(j *record.Job) string {
	vin := ""
	if j.Vehicle != nil {
		vin = j.Vehicle.VIN
	}
	return words.Commas(j.Looks(), words.Fill("VIN %s", vin))
}
