package facts

import (
	"time"

	"fettlebook/journal/record"
)

// Clock says by which clock a time between two entries is known.
type Clock string

// The clocks, the best first.
const (
	RunningClock Clock = "the device’s running clock" // no setting of the time disturbs it
	TimeOfDay    Clock = "the device’s time of day, as it was restarted in between"
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
	if from.Device == to.Device {
		return between(from, to), TimeOfDay
	}
	return between(from, to), TwoTimes
}

// between returns the time between two entries by their times of day.
func between(from, to *record.Line) time.Duration {
	return time.Time(to.Clocks.Device).Sub(time.Time(from.Clocks.Device))
}
