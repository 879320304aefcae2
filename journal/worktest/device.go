package worktest

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
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
	offline bool
	unsent  []journal.Logged

	// What the hub holds of its log, and everybody who is online.
	sent int64
	root tlog.Hash
}

func newDevice(seed string, name journal.DeviceID) *device {
	watch := journaltest.NewWatch(opening())
	d := &device{name: name, watch: watch, tree: new(proof.Tree),
		off: map[journal.DeviceID]time.Duration{"bench-1": -41 * time.Second, "bench-2": 73 * time.Second}[name]}
	d.author = journaltest.NewAuthor(name, watch, seed+" ids of "+string(name))
	d.author.Source.Shop = Shop
	return d
}

// hold notes how much of another log reached the hub, and so is here too.
func (d *device) hold(other *device, old bool) {
	if other.sent == 0 {
		return
	}
	if other.name == Office {
		d.author.Seen = journal.Seen{Size: other.sent, Root: other.root}
	}
	if old {
		return
	}
	held := journal.Prefix{Device: other.name, Size: other.sent, Root: [16]byte(other.root[:16])}
	i, ok := slices.BinarySearchFunc(d.author.After, other.name, func(p journal.Prefix, name journal.DeviceID) int {
		return strings.Compare(string(p.Device), string(name))
	})
	if ok {
		d.author.After[i] = held
	} else {
		d.author.After = slices.Insert(d.author.After, i, held)
	}
}

// write makes the next entry of the device's log.
func (d *device) write(at time.Time, draft journal.Draft) (journal.Logged, *journal.Entry, error) {
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
	raw, err := e.Encode()
	if err != nil {
		return journal.Logged{}, nil, err
	}
	l := journal.Logged{Position: journal.Position{Device: d.name, Index: d.tree.Size()}, Bytes: raw}
	d.tree.Append(raw)
	d.last = e.ID
	return l, e, nil
}
