package folder

import (
	"os"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"
)

// sinceBoot says which start of the machine this is and how long that was
// ago. Where the system tells neither, or the clock is not the machine's own,
// the start of the program stands in: then durations hold within one run of it
// only.
func sinceBoot(o Options) (journal.BootID, time.Duration, error) {
	if o.SetClock {
		boot, err := journal.NewBootID(o.Rand)
		return boot, 0, err
	}
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	up, err2 := os.ReadFile("/proc/uptime")
	if err == nil && err2 == nil && len(id) >= 8 {
		words := strings.Fields(string(up))
		if seconds, err := strconv.ParseFloat(words[0], 64); err == nil {
			return journal.BootID(id[:8]), time.Duration(seconds * float64(time.Second)), nil
		}
	}
	boot, err := journal.NewBootID(o.Rand)
	return boot, 0, err
}
