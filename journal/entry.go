package journal

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Entry is one entry, decoded. Its fields are the CloudEvents attributes and
// the extensions by, boot, uptime, seen and after.
type Entry struct {
	SpecVersion string  `json:"specversion"` // always "1.0"
	ID          EntryID `json:"id"`
	Source      Source  `json:"source"`
	Type        Type    `json:"type"`
	Subject     Subject `json:"subject"`
	// Time is the device's own clock with its zone offset; see Clock for why
	// it does not decide the order.
	Time            Stamp  `json:"time"`
	DataContentType string `json:"datacontenttype"` // always "application/json"

	By PersonID `json:"by"`
	// Boot and Uptime say which start of the device wrote the entry and how
	// long that had run, so that durations hold when the wall clock jumped.
	Boot   BootID `json:"boot"`
	Uptime Uptime `json:"uptime"`
	// Seen is the newest state of the hub's own log that the device held:
	// the entry is certainly younger than that.
	Seen Seen `json:"seen,omitzero"`
	// After is how much of every other log of the shop the device held, as far
	// as all that is cited therein was held too. The order of entries rests on
	// it; see the package comment.
	After After `json:"after,omitzero"`

	Data jsontext.Value `json:"data"`
}

// ErrEntry is wrapped by every refusal of an entry's bytes.
var ErrEntry = errors.New("these bytes are not an entry")

// strict refuses what the format does not know. Duplicate names, invalid
// UTF-8 and trailing bytes are refused by the decoder anyway.
func strict() json.Options { return json.JoinOptions(json.RejectUnknownMembers(true)) }

// Encode writes the entry. The bytes are the entry from then on.
func (e *Entry) Encode() ([]byte, error) {
	raw, err := json.Marshal(e, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("encode entry %s: %w", e.ID, err)
	}
	if most := e.Type.Kind.maxBytes(); len(raw) > most {
		return nil, fmt.Errorf("this entry has %d bytes and an entry may have %d; split it into several", len(raw), most)
	}
	return raw, nil
}

// Decode reads an entry strictly: unknown or doubled members, trailing bytes
// and malformed names are errors that wrap [ErrEntry]. The payload is only
// checked to be one JSON object; [Entry.Payload] reads it.
func Decode(raw []byte) (*Entry, error) {
	if len(raw) > MaxQuotingBytes {
		return nil, fmt.Errorf("%w: %d bytes, more than %d", ErrEntry, len(raw), MaxQuotingBytes)
	}
	e := &Entry{Uptime: -1} // tells a missing uptime from a start this instant
	if err := json.Unmarshal(raw, e, strict()); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrEntry, err)
	}
	if fields := nulls(raw, 1); len(fields) > 0 {
		return nil, fmt.Errorf("%w: the field %s is null", ErrEntry, fields[0])
	}
	if most := e.Type.Kind.maxBytes(); len(raw) > most {
		return nil, fmt.Errorf("%w: %d bytes, more than %d", ErrEntry, len(raw), most)
	}
	if err := e.valid(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrEntry, err)
	}
	return e, nil
}

func (e *Entry) valid() error {
	switch {
	case e.SpecVersion != "1.0":
		return fmt.Errorf("specversion is %q, not 1.0", e.SpecVersion)
	case e.DataContentType != "application/json":
		return fmt.Errorf("datacontenttype is %q, not application/json", e.DataContentType)
	case e.ID.IsZero():
		return errors.New("the id is missing")
	case e.Source.Shop == "" || e.Source.Device == "":
		return errors.New("the source is missing")
	case e.Type.Kind == "":
		return errors.New("the type is missing")
	case e.Subject == "":
		return errors.New("the subject is missing")
	case time.Time(e.Time).IsZero():
		return errors.New("the time is missing")
	case e.By == "":
		return errors.New("the person (by) is missing")
	case e.Boot == "":
		return errors.New("the boot is missing")
	case e.Uptime < 0:
		return errors.New("the uptime is missing")
	case e.Data.Kind() != '{':
		return errors.New("data is not a JSON object")
	}
	return nil
}

// Photos returns the photos of the entry, whatever its kind: a newer
// fettlebook's kinds carry theirs in the same place.
func (e *Entry) Photos() ([]Photo, error) {
	var d struct {
		Photos []Photo `json:"photos"`
	}
	if !strings.Contains(string(e.Data), `"photos"`) {
		return nil, nil
	}
	if err := json.Unmarshal(e.Data, &d); err != nil {
		return nil, fmt.Errorf("read photos of entry %s: %w", e.ID, err)
	}
	if len(d.Photos) > MaxPhotos {
		return nil, fmt.Errorf("entry %s has %d photos, more than %d", e.ID, len(d.Photos), MaxPhotos)
	}
	return d.Photos, nil
}
