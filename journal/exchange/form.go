package exchange

import (
	"context"
	"fmt"
	"io"
)

// Form is a format.
type Form string

// The formats.
const (
	EPCIS   Form = "epcis"
	Events  Form = "events"
	CSV     Form = "csv"
	Columns Form = "columns"
)

// Forms lists them all.
func Forms() []Form { return []Form{EPCIS, Events, CSV, Columns} }

// File is what a file in the format is called.
func (f Form) File() string {
	switch f {
	case EPCIS:
		return "epcis.jsonld"
	case Events:
		return "events.jsonl"
	case CSV:
		return "parts.csv"
	default:
		return string(f) + ".csv"
	}
}

// Left counts the entries of the record that are not in a file.
type Left struct {
	Shared     int // they may tell of other vehicles
	Unreadable int // they are not entries, or not in one line
	Idle       int // they count for nothing
}

// Write writes a source in a format. Equal sources give equal bytes.
func Write(ctx context.Context, w io.Writer, f Form, s *Source) (Left, error) {
	switch f {
	case EPCIS:
		return s.EPCIS(ctx, w)
	case Events:
		return s.Events(ctx, w)
	case CSV:
		return Left{}, s.Table(ctx, w)
	case Columns:
		return Left{}, s.Dictionary(ctx, w)
	default:
		return Left{}, fmt.Errorf("there is no format %q", f)
	}
}
