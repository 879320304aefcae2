package folder

import (
	"context"
	"slices"

	"fettlebook/journal"
)

// Named names the runs that drafts begin, and has the drafts written before another run is
// named: so no two runs of this device get one name, whether they begin on a page or by a
// command. What such a draft is about is till then only what the run may be called.
func (f *Folder) Named(ctx context.Context, drafts []journal.Draft, write func([]journal.Draft) error) error {
	if !slices.ContainsFunc(drafts, func(d journal.Draft) bool { return d.Begins }) {
		return write(drafts)
	}
	f.naming.Lock()
	defer f.naming.Unlock()
	if err := f.Folded.Follow(ctx); err != nil {
		return err
	}
	view, given := f.Folded.View(ctx), []journal.RunID(nil)
	drafts = slices.Clone(drafts)
	for i, d := range drafts {
		if !d.Begins {
			continue
		}
		name, err := view.NewRun(d.Data.Kind().Step(), f.Device, f.now(), f.rand, given...)
		if err != nil {
			return err
		}
		drafts[i].Subject, given = journal.Of("run", string(name)), append(given, name)
	}
	return write(drafts)
}
