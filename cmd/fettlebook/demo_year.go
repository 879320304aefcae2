package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/invented"
	"fettlebook/journal/words"
	"fettlebook/media/durable"
)

// year fills a new hub's folder with an invented year, to try things out on.
type year struct {
	Year  bool    `help:"Fill a folder with a year of an invented shop’s work instead, for trying recur, parts and the desk."`
	Seed  *uint64 `help:"Of the year: another number is another year (default: 1)." placeholder:"N"`
	Coats *int    `help:"How many coats the year has, about (default: 1200)." placeholder:"N"`
}

// Of a year, if nothing else is said, and at most.
const (
	usualSeed  = 1
	usualCoats = 1200
	mostCoats  = 20000
)

// yearDir is where a year goes if nothing else is said.
const yearDir = "fettlebook-year"

// aftermath is how many days before now the year ends, so that some of what
// showed late was heard of.
const aftermath = 60

// fill makes the folder.
func (c *year) fill(ctx context.Context, t *terminal, dir string) (err error) {
	seed, coats := uint64(usualSeed), usualCoats
	if c.Seed != nil {
		seed = *c.Seed
	}
	if c.Coats != nil {
		coats = *c.Coats
	}
	if coats < 1 || coats > mostCoats {
		return &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--coats: a year has at least one coat and at most %d", mostCoats)}
	}
	if dir == "" {
		dir = yearDir
	}
	making, err := clearing(dir)
	if err != nil {
		return err
	}
	now := t.Now()
	const days = 365
	begun := time.Date(now.Year(), now.Month(), now.Day()-days-aftermath, 7, 30, 0, 0, now.Location())
	plan := invented.Make(invented.Setting{Seed: seed, Parts: coats, Begun: begun, Days: days, Cause: invented.OneLot, Also: invented.CoolSoak, Mixed: true, Revised: 240})

	bar := newProgress(t, "written")
	fmt.Fprintf(t.Out, "A year of the invented shop %q is being written into %s. Its clock is set: it begins on %s.\n", yearShop, dir, words.Day(begun))
	steps, err := plan.Steps()
	if err != nil {
		return err
	}
	all, err := writeSteps(ctx, t, making, steps, func(done, total int) { bar.step(int64(done), int64(total)) })
	bar.clear()
	if err == nil {
		err = durable.MoveFolder(making, dir)
	}
	if err != nil {
		err = errors.Join(err, os.RemoveAll(making))
		if ctx.Err() != nil {
			return &exit.Error{Status: exit.Trouble, Sentence: "stopped before the year was whole; nothing of it was kept", Err: err}
		}
		return err
	}
	bytes, err := sizeOf(dir)
	if err != nil {
		return err
	}
	coats = 0
	for _, j := range plan.Jobs {
		coats += len(j.Coats)
	}
	fmt.Fprintf(t.Out, "It holds %s about %s and %s, with %s, in %d MB. The photographs are drawn: they show each corner before and after, its masking, its bare seats and its empty bag, and each defect from close up. From here on the folder goes by the machine’s clock.\n",
		words.Count(all.Entries, "entry"), words.Count(len(plan.Jobs), "job"), words.Count(coats, "coat"), words.Count(all.Photographs, "photograph"), (bytes+500_000)/1_000_000)
	fmt.Fprintf(t.Out, "Two causes of pinholes are planted: %s. Most of what has them was sprayed by MO, who has no part in it.\n\nTry:\n", words.And(plan.Planted...))
	for _, try := range tries(plan) {
		fmt.Fprintf(t.Out, "  fettlebook %s --data %s\n", try, dir)
	}
	fmt.Fprintf(t.Out, "The last one opens the desk, whose passphrase is %q.\n", demo.Passphrase)
	return nil
}

// clearing finds the place at which a folder is filled before it gets its name,
// so that one that was not finished is never taken for a whole one. What an
// earlier try left there when it was killed goes.
func clearing(dir string) (making string, err error) {
	switch left, err := os.ReadDir(dir); {
	case err == nil && len(left) > 0:
		return "", &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the folder %s is not empty; name one that is with --dir", dir)}
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return "", &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s cannot be used as a folder; name another with --dir", dir), Err: err}
	}
	switch here, err := standsIn(dir); {
	case err != nil:
		return "", err
	case here:
		return "", &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is the folder that this command runs in, and would be replaced; name another with --dir", dir)}
	}
	making = filepath.Clean(dir) + ".unfinished"
	if _, err := os.Stat(making); errors.Is(err, fs.ErrNotExist) {
		return making, nil
	}
	lock, err := folder.Lock(making)
	if err != nil {
		return "", err
	}
	return making, errors.Join(lock.Unlock(), os.RemoveAll(making))
}

// standsIn reports whether a folder, by whatever name, is the one that the
// program runs in.
func standsIn(dir string) (bool, error) {
	is, err := os.Stat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	here, wrong := os.Stat(".")
	return err == nil && wrong == nil && os.SameFile(is, here), errors.Join(err, wrong)
}

// sizeOf is how many bytes the files of a folder have.
func sizeOf(dir string) (n int64, err error) {
	err = filepath.WalkDir(dir, func(_ string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			n += info.Size()
		}
		return err
	})
	return n, err
}

const yearShop = "Pin Bore Works"

// writeSteps founds a shop an hour before the first of some steps and writes
// those that were taken until now, on a clock that is set.
func writeSteps(ctx context.Context, t *terminal, dir string, steps []invented.Step, told func(done, total int)) (all demo.Filled, err error) {
	clock := steps[0].At.Add(-time.Hour)
	then := *t
	then.Data, then.SetClock = dir, true
	then.Now = func() time.Time { return clock }
	shop := &hubInit{Shop: yearShop, By: "io", Initials: "IO", Units: "metric", hubAt: hubAt{Host: "127.0.0.1", DeskPort: 7460, BrokerPort: 7461}}
	if err := shop.begin(ctx, &then); err != nil {
		return all, err
	}
	if err := passphrase(&then, dir).Set(ctx, demo.Passphrase); err != nil {
		return all, err
	}
	f, err := folder.Open(ctx, dir, then.folder())
	if err != nil {
		return all, err
	}
	filling := &demo.Year{Hub: f, Steps: steps, Until: t.Now(), Rand: t.Rand, Set: func(at time.Time) { clock = at }, Told: told}
	all, err = filling.Fill(ctx)
	if err == nil {
		err = f.Folded.Follow(ctx)
	}
	if err == nil { // so that who looks next finds all worked out
		view := f.Folded.View(ctx)
		view.Parts()
		err = view.Err()
	}
	return all, errors.Join(err, f.Close())
}

// tries are commands that show something of a year.
func tries(plan *invented.Plan) []string {
	last := plan.Jobs[len(plan.Jobs)-1].Coats[0]
	return []string{"recur --defect pinhole", "trace " + string(last.Lot.ID), "trace " + last.Casting, "parts defect_pinhole=yes 'soak_over_bake_k<0'", "parts --csv -o parts.csv", "due", "hub run"}
}
