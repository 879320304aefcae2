package desk

import (
	"context"
	"fmt"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// Missing is what entries name and no machine brought, as after the loss of a disk.
type Missing struct {
	Logs      []MissingEntries
	Originals []MissingOriginal
}

// MissingEntries are those of a log behind the ones that are here.
type MissingEntries struct {
	Device      journal.DeviceID
	Here, Named int64 // so many are here; up to that one others name them
}

// MissingOriginal is an original that the tablet which took it does not have any more.
type MissingOriginal struct {
	Ref    media.Ref
	Device journal.DeviceID
}

// originalsShown is how many originals are said one by one.
const originalsShown = 12

// Say says what is missing, a sentence for each; name is what a device is called.
func (m Missing) Say(name func(journal.DeviceID) string) (list []string) {
	for _, l := range m.Logs {
		what := fmt.Sprintf("entry %d is not here, although another entry names it. It comes", l.Named)
		if l.Named-l.Here > 1 {
			what = fmt.Sprintf("entries %d to %d are not here, although other entries name them. They come", l.Here+1, l.Named)
		}
		list = append(list, fmt.Sprintf("Of the log of %s %s back when a machine connects that still has what is missing. What rests on that does not count until then.", name(l.Device), what))
	}
	for _, o := range m.Originals[:min(len(m.Originals), originalsShown)] {
		list = append(list, fmt.Sprintf("The original of photograph %.12s is not here, and %s, which took it, does not have it any more. Look for it in the archives and backups of that tablet. Its thumbnail and its entry stay.", o.Ref.Hex(), name(o.Device)))
	}
	if more := len(m.Originals) - originalsShown; more > 0 {
		list = append(list, fmt.Sprintf("The same is so of %s.", words.Count(more, "more original")))
	}
	return list
}

// lacks says what is missing.
func (d *Desk) lacks(ctx context.Context, s *live.Snapshot) []string {
	if d.Missing == nil {
		return nil
	}
	m, err := d.Missing(ctx)
	if err != nil {
		d.Logger.WarnContext(ctx, "look for what is missing", "error", err)
		return []string{"What is missing cannot be told now; the log of this program says why."}
	}
	return m.Say(Names(s.Shop))
}

// Names tells what devices are called.
func Names(shop *record.Shop) func(journal.DeviceID) string {
	return func(device journal.DeviceID) string {
		if shop.Founded != nil && shop.Founded.Device == device {
			return "this hub"
		}
		for _, dev := range shop.Devices {
			if dev.ID == device && dev.Stated != nil {
				return dev.Stated.Name
			}
		}
		return "tablet " + string(device)
	}
}
