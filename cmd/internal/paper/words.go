package paper

import (
	"slices"
	"time"

	"fettlebook/journal"
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
func thing(s journal.Subject) string {
	switch name := side(s.Corner()); {
	case s.Part() != "" && name != "":
		return name + " " + string(s.Part())
	case s.Part() != "":
		return string(s.Part())
	case name != "":
		return name
	}
	return "vehicle"
}

// mostThings is how many things are named one by one.
const mostThings = 6

// things names several: those that every corner has are named once.
func things(list []journal.Subject) string {
	var parts, corners []string
	for _, s := range list {
		parts, corners = append(parts, string(s.Part())), append(corners, side(s.Corner()))
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
		names = append(names, thing(s))
	}
	if n := len(names) - mostThings; n > 1 {
		names = append(names[:mostThings], words.Count(n, "other part"))
	}
	return words.And(names...)
}

const dayLayout = "2 January 2006"

// day writes the day of a time as the device's clock had it.
func day(s journal.Stamp) string { return time.Time(s).Format(dayLayout) }

// date writes a day of the register; as it was typed if it cannot be read.
func date(text string) string {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return text
	}
	return t.Format(dayLayout)
}

// vehicle is what is known of a job's vehicle: "moss-green estate, VIN …".
func vehicle(j *record.Job) string {
	vin := ""
	if j.Vehicle != nil {
		vin = j.Vehicle.VIN
	}
	return words.Commas(j.Looks(), words.Fill("VIN %s", vin))
}
