package exchange

import (
	"net/url"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/media"
)

// The names of things begin as the sources of entries do.
const (
	ours  = "urn:fettlebook:"
	terms = "urn:fettlebook-terms:" // steps, kinds of transaction and fields
)

// urn names a thing of the shop.
func (s *Source) urn(thing journal.Subject) string {
	return ours + string(s.Shop) + ":" + escaped(string(thing))
}

// vehicle names the vehicle of a job, or the job where nobody knows whose it is.
func (s *Source) vehicle(j *record.Job) string {
	if j.Vehicle == nil {
		return s.urn(journal.About(j.ID, "", ""))
	}
	return ours + string(s.Shop) + ":vehicle/" + escaped(string(j.Vehicle.Key))
}

// escaped escapes what may not stand in a name, such as letters of a plate.
func escaped(text string) string {
	fields := strings.Split(text, "/")
	for i, f := range fields {
		fields[i] = url.PathEscape(f)
	}
	return strings.Join(fields, "/")
}

// device names a tablet or the hub as entries do in their source.
func (s *Source) device(id journal.DeviceID) string {
	return ours + string(s.Shop) + ":" + escaped(string(id))
}

// picture names a photograph by its hash.
func picture(ref media.Ref) string { return named(ref) }
