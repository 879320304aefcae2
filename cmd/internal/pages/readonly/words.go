package readonly

import (
	"cmp"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Link is a place to go to, with what to call it.
type Link struct{ Say, Path string }

// path makes a path of names that people typed.
func path(segments ...string) string {
	for i, s := range segments {
		segments[i] = url.PathEscape(s)
	}
	return "/" + strings.Join(segments, "/")
}

// EntryPath is the page of one entry.
func EntryPath(id journal.EntryID) string { return path("entry", id.String()) }

// PicturePath is the page of a photograph, as it is one of a job's if it is looked at
// from there.
func PicturePath(s facts.Sight, in journal.JobID) string {
	to := path("picture", s.Line.ID.String(), strconv.Itoa(s.At+1))
	if in != "" && s.Line.Subject.Job() != in {
		to += "?" + url.Values{"job": {string(in)}}.Encode()
	}
	return to
}

// JobPath is the page of a job.
func JobPath(id journal.JobID) string { return path("job", string(id)) }

// VehiclePath is the page of a vehicle at the desk.
func VehiclePath(key record.Key) string {
	word, name, _ := strings.Cut(string(key), "/")
	return path("vehicle", word, name)
}

// ShelfPath is the page of a lot, fluid, tool or spec at the desk.
func ShelfPath(what, id string) string { return path("shelf", what, id) }

// InvestigationPath is the page of an investigation at the desk.
func InvestigationPath(id journal.EntryID) string { return path("investigation", id.String()) }

// CastingPath is the page of a casting's life at the desk, by its number or mark, or
// by one of its parts.
func CastingPath(name string) string {
	return path(append([]string{"casting"}, strings.Split(name, "/")...)...)
}

// WritePath is the page that writes an entry of a kind about a subject; pairs
// are names of fields and what they are to hold at first.
func WritePath(kind journal.Kind, about journal.Subject, pairs ...string) string {
	to := path("write", string(kind)) + "/" + string(about)
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	if len(q) > 0 {
		to += "?" + q.Encode()
	}
	return to
}

// Name is what a vehicle is called: the plate typed last, else its VIN.
func Name(v *record.Vehicle) string {
	if n := len(v.Plates); n > 0 {
		return v.Plates[n-1]
	}
	return cmp.Or(v.VIN, string(v.Key))
}

// dayOf is a day as a heading: the paper may leave the shop.
func dayOf(l *record.Line) string {
	t := time.Time(l.Clocks.Device)
	return t.Weekday().String() + ", " + l.Writing().Day(t) + ", " + words.Zone(t)
}

// local puts a time of the hub's into the zone of the device's clock, so that
// the two can be compared by eye.
func local(hub, device journal.Stamp) time.Time {
	return time.Time(hub).In(time.Time(device).Location())
}

// received says in short when the hub had a line.
func received(l *record.Line, snap *live.Snapshot) string {
	if l.Clocks.Received.IsZero() {
		in := l.Device
		if l.Taken != nil {
			in = l.Taken.Device
		}
		if snap.Shop.Founded != nil && snap.Shop.Founded.Device == in {
			return "at the hub"
		}
		return "not at the hub yet"
	}
	at, device := local(l.Clocks.Received, l.Clocks.Device), time.Time(l.Clocks.Device)
	if at.Format(time.DateOnly) == device.Format(time.DateOnly) {
		return "hub " + words.Clock(at)
	}
	return "hub " + snap.Shop.Writing().ThisYear(at)
}
