package record

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Difference is something in which a vehicle that comes in is told otherwise than
// the one on record that it would be: its plate, its VIN, what it looks like, or
// an odometer that shows less. Was and Is are as they were typed.
type Difference struct{ What, Was, Is string }

// Differs compares what is said of a vehicle that comes in with what is on
// record of this one. What was not said, then or now, is no difference.
func (v *Vehicle) Differs(is journal.Vehicle, odometer unit.Distance) (list []Difference) {
	differ := func(what, was, now string, same bool) {
		if was != "" && now != "" && !same {
			list = append(list, Difference{what, was, now})
		}
	}
	plate, looks := latest(v.Plates), latest(v.Looks)
	differ("VIN", v.VIN, is.VIN, words.Squash(v.VIN) == words.Squash(is.VIN))
	differ("plate", plate, is.Plate, slices.ContainsFunc(v.Plates, func(p string) bool { return words.Squash(p) == words.Squash(is.Plate) }))
	differ("looks", looks, is.Looks, slices.ContainsFunc(v.Looks, func(l string) bool { return shareAWord(l, is.Looks) }))
	if most := v.odometer(); !most.IsZero() && !odometer.IsZero() && odometer.In(unit.Kilometre) < most.In(unit.Kilometre) {
		list = append(list, Difference{"odometer", most.String(), odometer.String()})
	}
	return list
}

// odometer is the most that it showed at any of its jobs.
func (v *Vehicle) odometer() (most unit.Distance) {
	more := func(shows unit.Distance) {
		if most.IsZero() || !shows.IsZero() && shows.In(unit.Kilometre) > most.In(unit.Kilometre) {
			most = shows
		}
	}
	for _, j := range v.Jobs {
		more(j.Odometer)
		for r := range j.readings() {
			more(r.Odometer)
		}
	}
	return most
}

func latest(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[len(list)-1]
}

// shareAWord reports whether two descriptions of a car have a word in common.
func shareAWord(a, b string) bool {
	other := strings.FieldsFunc(strings.ToLower(b), between)
	return slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(a), between), func(w string) bool { return slices.Contains(other, w) })
}

func between(r rune) bool { return strings.ContainsRune(" ,;/-.", r) }
