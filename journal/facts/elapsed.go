package facts

import (
	"time"

	"fettlebook/journal/record"
)

// elapsed returns the time between two entries and by which clock. Two entries
// of one start of one device have its running clock, which no setting of the
// time disturbs; others only have their devices' times of day.
func elapsed(from, to *record.Line) (time.Duration, string) {
	a, b := from.Clocks, to.Clocks
	if from.Device == to.Device && a.Boot == b.Boot {
		return time.Duration(b.Uptime) - time.Duration(a.Uptime), "by the device's running clock"
	}
	between := time.Time(b.Device).Sub(time.Time(a.Device))
	if from.Device == to.Device {
		return between, "by the device's time of day, which was started anew in between"
	}
	return between, "by the times of day of two devices"
}
