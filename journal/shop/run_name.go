package shop

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// RunName is a name for a run that begins on a device, one that can be called across a shop:
// bake-26-064b is the 64th bake of 2026 that was begun on the second tablet that joined. The
// hub's own have no letter. Two devices that do not hear of each other never give the same
// name, since the letter follows from the register, where each has its place for good; and a
// name that was given stays, since it is the run's.
//
// It reports false where the device does not know its place yet, as on a tablet that has
// just joined, and where it counts no further: then a name has to be drawn. Taken are names
// that are given already and not written yet.
func (v *View) RunName(step journal.Step, device journal.DeviceID, at time.Time, taken ...journal.RunID) (journal.RunID, bool) {
	letter, ok := v.letter(device)
	if !ok || step == journal.NoStep || step == "" {
		return "", false
	}
	before := fmt.Sprintf("%s-%02d-", step, at.Year()%100)
	last := 0
	names := v.NamesFrom("run", before)
	for _, name := range taken {
		names = append(names, string(name))
	}
	for _, name := range names {
		digits := strings.TrimRight(strings.TrimPrefix(name, before), letters)
		// Any device may write of a run by any name: a number that nobody gets to by
		// counting would leave no next one.
		if n, err := strconv.Atoi(digits); err == nil && n <= mostRuns && name == before+digits+letter {
			last = max(last, n)
		}
	}
	if last == mostRuns {
		return "", false
	}
	return journal.RunID(fmt.Sprintf("%s%03d%s", before, last+1, letter)), true
}

// mostRuns are those of a step that one device begins in a year.
const mostRuns = 99_999

// NewRun is the name of a run that begins on a device: one that can be called, else one
// that is drawn.
func (v *View) NewRun(step journal.Step, device journal.DeviceID, at time.Time, rand io.Reader, taken ...journal.RunID) (journal.RunID, error) {
	if name, ok := v.RunName(step, device, at, taken...); ok {
		return name, nil
	}
	return journal.NewRunID(rand)
}

const letters = "abcdefghijklmnopqrstuvwxyz"

// letter is what a device's names end with: its place among those that joined.
func (v *View) letter(device journal.DeviceID) (string, bool) {
	if v.Shop.Founded != nil && v.Shop.Founded.Device == device {
		return "", true
	}
	joined := slices.DeleteFunc(slices.Clone(v.Shop.Devices), func(d *record.Device) bool { return d.Stated == nil })
	slices.SortFunc(joined, func(a, b *record.Device) int { return cmp.Compare(joinedAt(a), joinedAt(b)) })
	place := slices.IndexFunc(joined, func(d *record.Device) bool { return d.ID == device })
	if place < 0 {
		return "", false
	}
	letter := ""
	for n := place + 1; n > 0; n = (n - 1) / len(letters) {
		letter = letters[(n-1)%len(letters):][:1] + letter
	}
	return letter, true
}

// joinedAt is where in the hub's log a device was let in first. What others write about a
// device says nothing of that.
func joinedAt(d *record.Device) int64 {
	i := slices.IndexFunc(d.Lines, func(l *record.Line) bool {
		_, in := l.Effect().(*journal.Device)
		return in
	})
	return d.Lines[i].Position().Index
}
