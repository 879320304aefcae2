package shop

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Uncounted is what of one log counts for nothing: entries that wait for
// others, and entries that never count where they lie.
type Uncounted struct {
	Device  journal.DeviceID
	Entries int    // how many
	First   []Idle // some of them, from the first on
}

// Idle is an entry that counts for nothing.
type Idle struct {
	journal.Position
	Entry    *journal.Entry // nil for bytes that are none; it is shared, do not change it
	Never    record.Flag    // why it never counts where it lies, or ""
	Waits    *record.Wait   // what it waits for, or nil
	Received time.Time      // by the hub's clock; zero if the hub has not signed over it
}

// Uncounted tells of which logs something counts for nothing, and how much.
func (v *View) Uncounted() []Uncounted {
	many, err := v.shop.index.Uncounted(v.ctx)
	v.note(err)
	var list []Uncounted
	for _, device := range slices.Sorted(maps.Keys(many)) {
		list = append(list, Uncounted{Device: device, Entries: many[device]})
	}
	return list
}

// Idle is Uncounted with entries, at most so many of all logs: one of which
// much counts for nothing does not hide the others.
func (v *View) Idle(most int) []Uncounted {
	list := v.Uncounted()
	for i := range list {
		rows, err := v.shop.index.UncountedOf(v.ctx, list[i].Device, max(1, most/len(list)))
		v.note(err)
		list[i].First = v.idle(rows)
	}
	return list
}

func (v *View) idle(rows []index.Row) []Idle {
	read, err := v.shop.read(v.ctx, rows)
	v.note(err)
	at := make(map[journal.Position]index.Row)
	for _, r := range rows {
		at[r.Position] = r
	}
	var list []Idle
	for _, d := range read {
		i := Idle{Position: d.Position(), Entry: d.Entry(), Never: d.Uncounted(v.shop.by), Received: d.Received()}
		as, err := standing(at[d.Position()])
		v.note(err)
		if w := as.Wait; w != nil {
			i.Waits = &record.Wait{Why: w.Why, Device: w.Device, Entries: w.Size}
		}
		list = append(list, i)
	}
	slices.SortFunc(list, func(a, b Idle) int { return cmp.Compare(a.Index, b.Index) })
	return list
}
