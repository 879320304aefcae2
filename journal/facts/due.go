package facts

import (
	"math"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Due is how the last day of something stands to a day. The zero Due is that
// of what has no last day.
type Due struct {
	On   time.Time // the last day on which it may be used
	Days int       // left until then; negative when it is past
}

// DueOn says how a last day stands at a time, by the days of its zone.
func DueOn(last journal.Date, at time.Time) Due {
	on, err := time.ParseInLocation(time.DateOnly, string(last), at.Location())
	if err != nil {
		return Due{}
	}
	today := time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, at.Location())
	return Due{On: on, Days: int(math.Round(on.Sub(today).Hours() / 24))}
}

// IsZero reports whether there is no last day.
func (d Due) IsZero() bool { return d.On.IsZero() }

// Past reports whether the last day is over.
func (d Due) Past() bool { return !d.IsZero() && d.Days < 0 }

// LotState is how a powder lot stands at a time.
type LotState struct {
	Stated   *journal.PowderLot // nil while its receipt is not here
	Received *record.Line
	Schedule bool // its bake schedule is there
	Due      Due
}

// LotAt says how a powder lot stands at a time.
func (s *Stock) LotAt(id journal.LotID, at time.Time) (l LotState) {
	if l.Stated, l.Received = s.Lot(id); l.Stated != nil {
		l.Schedule, l.Due = len(l.Stated.Schedule) > 0, DueOn(l.Stated.UseBy, at)
	}
	return l
}

// FluidState is how a container of fluid stands at a time.
type FluidState struct {
	Stated   *journal.FluidContainer // nil while its opening is not here
	Opened   *record.Line
	On       journal.Date // on which it was opened: as written, else that of the entry
	OpenDays int
	Due      Due
}

// FluidAt says how a container of fluid stands at a time.
func (s *Stock) FluidAt(id journal.FluidID, at time.Time) (f FluidState) {
	if f.Stated, f.Opened = s.Fluid(id); f.Stated != nil {
		written := time.Time(f.Opened.Clocks.Device)
		f.On, f.OpenDays, f.Due = journal.Date(written.Format(time.DateOnly)), int(at.Sub(written).Hours()/24), DueOn(f.Stated.UseBy, at)
		if since := DueOn(f.Stated.Opened, at); !since.IsZero() {
			f.On, f.OpenDays = f.Stated.Opened, -since.Days
		}
	}
	return f
}

// KitAt returns what the register says of a kit, nil if its receipt is not here,
// and how its last day stands at a time.
func (s *Stock) KitAt(id journal.KitID, at time.Time) (*journal.Kit, Due) {
	is, _ := s.Kit(id)
	if is == nil {
		return nil, Due{}
	}
	return is, DueOn(is.UseBy, at)
}
