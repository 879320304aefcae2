package facts

import (
	"slices"
	"strings"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Owner says whose a joint's figure is, seen from one vehicle. The lower ones are
// the better ones to tighten it by.
type Owner int

// Whose a figure is.
const (
	OfThis   Owner = iota // it was recorded for this vehicle
	OfNobody              // it names no vehicle, so it says nothing of that
	OfOthers              // it names vehicles, and nothing shows that this is one of them
)

// OwnerOf tells whose a joint's figure is, seen from a vehicle: by the vehicle's
// VIN, or by the shop's own words for what the figure is for, if they all stand in
// those for what the vehicle looks like.
func OwnerOf(spec *journal.TorqueSpec, v journal.Vehicle) Owner {
	if len(spec.Fits) == 0 && len(spec.VINs) == 0 {
		return OfNobody
	}
	number, looks := words.Squash(v.VIN), terms(v.Looks)
	begins := func(vin string) bool { return strings.HasPrefix(number, words.Squash(vin)) }
	fits := func(name string) bool {
		asked := terms(name)
		return len(asked) > 0 && !slices.ContainsFunc(asked, func(term string) bool { return !slices.Contains(looks, term) })
	}
	if slices.ContainsFunc(spec.VINs, begins) || slices.ContainsFunc(spec.Fits, fits) {
		return OfThis
	}
	return OfOthers
}

// terms are the words of a text without case and what stands between them.
func terms(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}

// borrowed names the vehicles that a figure is borrowed from in an entry, "" if it
// is not. What is of no job has no vehicle.
func (s *Stock) borrowed(spec *journal.TorqueSpec, l *record.Line) string {
	job := s.shop.Job(l.Subject.Job())
	if spec == nil || job == nil || job.Stated == nil || OwnerOf(spec, job.Stated.Vehicle) != OfOthers {
		return ""
	}
	return spec.Vehicles()
}
