package record

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/vin"
	"fettlebook/journal/words"
)

// Key names a vehicle within one fold: "vin/…", "plate/…", or "job/…" for a
// job that names neither. A vehicle's key changes when its VIN becomes known.
type Key string

// Vehicle is one vehicle with all its jobs. Jobs with one VIN are one
// vehicle. A job with a plate only joins the vehicle with a VIN that bore the
// plate in another job, if there is exactly one.
type Vehicle struct {
	Key    Key
	VIN    string   // normal form; "" if none is known
	Plates []string // as typed, the last one last
	Looks  []string // as typed, the last one last
	Jobs   []*Job   // in the order of opening
	Notes  []string // what is doubtful, a sentence each
}

// VINNote says in a sentence what is odd about the VIN, or "" if nothing is.
func (v *Vehicle) VINNote() string {
	if v.VIN == "" {
		return ""
	}
	return vin.Check(v.VIN).Note
}

// join gathers the opened jobs into vehicles.
func join(jobs []*Job) []*Vehicle {
	opened := slices.DeleteFunc(slices.Clone(jobs), func(j *Job) bool { return j.Opened == nil })
	slices.SortFunc(opened, func(a, b *Job) int { return replay(a.Opened, b.Opened) })

	vehicles := make(map[Key]*Vehicle)
	put := func(key Key, j *Job) *Vehicle {
		v := vehicles[key]
		if v == nil {
			v = &Vehicle{Key: key}
			vehicles[key] = v
		}
		v.Jobs = append(v.Jobs, j)
		j.Vehicle = v
		return v
	}
	bearers := make(map[string][]*Vehicle) // vehicles with a VIN, by plate
	for _, j := range opened {
		number, plate := normalVIN(j.Stated.Vehicle.VIN), words.Squash(j.Stated.Vehicle.Plate)
		if number == "" {
			continue
		}
		v := put(Key("vin/"+number), j)
		v.VIN = number
		if plate != "" && !slices.Contains(bearers[plate], v) {
			bearers[plate] = append(bearers[plate], v)
		}
	}
	for _, j := range opened {
		plate := words.Squash(j.Stated.Vehicle.Plate)
		switch {
		case j.Vehicle != nil:
		case plate == "":
			put(Key("job/"+string(j.ID)), j)
		case len(bearers[plate]) == 1:
			put(bearers[plate][0].Key, j)
		default:
			put(Key("plate/"+plate), j)
		}
	}
	list := byName(vehicles)
	for _, v := range list {
		v.settle(bearers)
	}
	return list
}

// settle orders the vehicle's jobs and says what is doubtful.
func (v *Vehicle) settle(bearers map[string][]*Vehicle) {
	slices.SortFunc(v.Jobs, func(a, b *Job) int { return replay(a.Opened, b.Opened) })
	for _, j := range v.Jobs {
		is := j.Stated.Vehicle
		v.Plates = newest(v.Plates, is.Plate)
		v.Looks = newest(v.Looks, is.Looks)
	}
	for _, plate := range v.Plates {
		switch bear := bearers[words.Squash(plate)]; {
		case len(bear) < 2:
		case v.VIN == "":
			v.Notes = append(v.Notes, fmt.Sprintf("the plate %s belongs to %d vehicles with different VINs, and no VIN is given here, so this is kept apart", plate, len(bear)))
		default:
			v.Notes = append(v.Notes, fmt.Sprintf("another vehicle with a different VIN bears the plate %s too; the two are kept apart", plate))
		}
	}
}

// newest appends a text as the newest of its kind; one that is there already
// moves to the end.
func newest(list []string, text string) []string {
	if words.Squash(text) == "" {
		return list
	}
	list = slices.DeleteFunc(list, func(s string) bool { return words.Squash(s) == words.Squash(text) })
	return append(list, text)
}

// normalVIN brings a VIN into the form by which vehicles are joined. Older
// vehicles have numbers of other lengths; those are only squashed.
func normalVIN(text string) string {
	if v, err := vin.Parse(text); err == nil {
		return v.String()
	}
	return words.Squash(text)
}

// Parts returns by what a vehicle is known, "vin", "plate" or "job", and the
// number itself.
func (k Key) Parts() (word, text string) {
	word, text, _ = strings.Cut(string(k), "/")
	return word, text
}

// Add notes by what the vehicle was known in a job more.
func (v *Vehicle) Add(number, plate, looks string) {
	if n := normalVIN(number); n != "" {
		v.VIN = n
	}
	v.Plates, v.Looks = newest(v.Plates, plate), newest(v.Looks, looks)
}
