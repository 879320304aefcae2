package facts

import (
	"time"

	"fettlebook/journal/record"
)

// Clock says by which clock a time between two entries is known.
type Clock string

// The clocks, the best first.
const (
	RunningClock Clock = "the device's running clock" // no setting of the time disturbs it
	TimeOfDay    Clock = "the device's time of day, which was started anew in between"
	TwoTimes     Clock = "the times of day of two devices"
)

// elapsed returns the time between two entries and by which clock. Two entries
// of one start of one device have its running clock, which no setting of the
// time disturbs; others only have their devices' times of day.
func elapsed(from, to *record.Line) (time.Duration, Clock) {
	a, b := from.Clocks, to.Clocks
	if from.Device == to.Device && a.Boot == b.Boot {
		return time.Duration(b.Uptime) - time.Duration(a.Uptime), RunningClock
	}
	between := time.Time(b.Device).Sub(time.Time(a.Device))
	if from.Device == to.Device {
		return between, TimeOfDay
	}
	return between, TwoTimes
}
