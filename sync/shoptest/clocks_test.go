package shoptest_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/shoptest"
)

// ticking is a clock that was set to a day when the test began.
func ticking(at time.Time) func() time.Time {
	began := time.Now()
	return func() time.Time { return at.Add(time.Since(began)) }
}

// Tablets whose clocks stand in 1970 and in 2099, and a hub whose clock stands in 1970,
// bring all that was written, before they ever met and after that, and the register says
// how far each clock is off.
func TestWildClocks(t *testing.T) {
	first, last := time.Date(1970, 1, 1, 0, 3, 0, 0, time.UTC), time.Date(2099, 12, 31, 23, 0, 0, 0, time.UTC)
	for name, hub := range map[string]func() time.Time{"the hub’s is right": nil, "the hub’s stands in 1970": ticking(first)} {
		t.Run(name, func(t *testing.T) {
			shop := shoptest.OpenWith(t, shoptest.Settings{Now: hub})
			old, ahead := shop.JoinedAt("bench 1", ticking(first)), shop.JoinedAt("bench 2", ticking(last))
			for range 2 {
				for _, tablet := range []*shoptest.Tablet{old, ahead} {
					tablet.Append(3)
					tablet.Connect()
				}
				shop.Settle()
				for _, tablet := range []*shoptest.Tablet{old, ahead} {
					tablet.Append(2)
				}
				shop.Settle()
				for _, tablet := range []*shoptest.Tablet{old, ahead} {
					tablet.Disconnect()
				}
			}
			off := map[journal.DeviceID]bool{}
			for _, p := range shop.Register() {
				if c, ok := p.(*journal.ClockReading); ok {
					off[c.Device] = off[c.Device] || (time.Duration(c.OffsetMs)*time.Millisecond).Abs() > 10*365*24*time.Hour
				}
			}
			if off[old.Device()] != (hub == nil) || !off[ahead.Device()] {
				t.Errorf("the register says that a clock is off: %v", off)
			}
		})
	}
}
