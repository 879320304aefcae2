package worktest

import (
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// device is the hub or a tablet, with a clock that is a little off.
type device struct {
	name    journal.DeviceID
	author  *journaltest.Author
	watch   *journaltest.Watch
	off     time.Duration // of its clock
	tree    *proof.Tree
	last    journal.EntryID
	day     int // of the current start
	held    []Held
	reached Held // what the hub holds of it
	offline bool
	unsent  []journal.Logged
}

func newDevice(seed string, name journal.DeviceID) *device {
	watch := journaltest.NewWatch(opening())
	d := &device{name: name, watch: watch, tree: new(proof.Tree), reached: Held{Device: name},
		off: map[journal.DeviceID]time.Duration{"bench-1": -41 * time.Second, "bench-2": 73 * time.Second}[name]}
	d.author = journaltest.NewAuthor(name, watch, seed+" ids of "+string(name))
	d.author.Source.Shop = Shop
	return d
}

// hold notes how much of another log reached the hub, and so is here too.
func (d *device) hold(other *device) {
	if other.reached.Size == 0 {
		return
	}
	if other.name == Office {
		d.author.Seen = journal.Seen{Size: other.reached.Size, Root: other.reached.Root}
	}
	for i := range d.held {
		if d.held[i].Device == other.name {
			d.held[i] = other.reached
			return
		}
	}
	d.held = append(d.held, other.reached)
}

// write makes the next entry of the device's log.
func (d *device) write(at time.Time, draft journal.Draft, before func(*journal.Entry, []Held)) (journal.Logged, *journal.Entry, error) {
	d.watch.Set(at.Add(d.off))
	if day := at.YearDay() + 1000*at.Year(); day != d.day { // switched on in the morning
		d.day = day
		d.author.Boot = journal.BootID(fmt.Sprintf("%s-%d", d.name, day))
		d.author.Started = d.watch.Now().Add(-4 * time.Minute)
	}
	e, err := d.author.Write(draft)
	if err != nil {
		return journal.Logged{}, nil, err
	}
	if before != nil {
		before(e, slices.Clone(d.held))
	}
	raw, err := e.Encode()
	if err != nil {
		return journal.Logged{}, nil, err
	}
	l := journal.Logged{Position: journal.Position{Device: d.name, Index: d.tree.Size()}, Bytes: raw}
	d.tree.Append(raw)
	d.last = e.ID
	return l, e, nil
}
