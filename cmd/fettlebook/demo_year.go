package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/invented"
	"fettlebook/journal/words"
)

// year fills a new hub's folder with an invented year, to try things out on.
type year struct {
	Year  bool   `help:"Fill a folder with a year of an invented shop's work instead, for trying recur, parts and the desk."`
	Seed  uint64 `default:"1" help:"Of the year: another number is another year." placeholder:"N"`
	Coats int    `default:"1200" help:"How many coats the year has, about." placeholder:"N"`
}

// yearDir is where a year goes if nothing else is said.
const yearDir = "fettlebook-year"

// aftermath is how many days before now the year ends, so that some of what
// showed late was heard of.
const aftermath = 60

// fill makes the folder.
func (c *year) fill(ctx context.Context, t *terminal, dir string) (err error) {
	if c.Coats < 1 {
		return &exit.Error{Status: exit.Usage, Sentence: "--coats: a year has at least one coat"}
	}
	if dir == "" {
		dir = yearDir
	}
	if left, err := os.ReadDir(dir); err == nil && len(left) > 0 {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the folder %s is not empty; name one that is with --dir", dir)}
	}
	now := t.Now()
	const days = 365
	begun := time.Date(now.Year(), now.Month(), now.Day()-days-aftermath, 7, 30, 0, 0, now.Location())
	plan := invented.Make(invented.Setting{Seed: c.Seed, Parts: c.Coats, Begun: begun, Days: days, Cause: invented.OneLot, Also: invented.CoolSoak, Mixed: true, Revised: 240})

	bar := newProgress(t, "written")
	fmt.Fprintf(t.Out, "A year of the invented shop %q is being written into %s. Its clock is set: it begins on %s.\n", yearShop, dir, begun.Format("2 January 2006"))
	steps, err := plan.Steps()
	if err != nil {
		return err
	}
	n, err := writeSteps(ctx, t, dir, steps, func(done, total int) { bar.step(int64(done), int64(total)) })
	bar.clear()
	if err != nil {
		return err
	}
	coats := 0
	for _, j := range plan.Jobs {
		coats += len(j.Coats)
	}
	fmt.Fprintf(t.Out, "It holds %s about %s and %s, without photographs. From here on the folder goes by the machine's clock.\n", words.Count(n, "entry"), words.Count(len(plan.Jobs), "job"), words.Count(coats, "coat"))
	fmt.Fprintf(t.Out, "Two causes of pinholes are planted: %s. Most of what has them was sprayed by MO, who has no part in it.\n\nTry:\n", words.And(plan.Planted...))
	for _, try := range tries(plan) {
		fmt.Fprintf(t.Out, "  fettlebook %s --data %s\n", try, dir)
	}
	fmt.Fprintf(t.Out, "The last one opens the desk, whose passphrase is %q.\n", demo.Passphrase)
	return nil
}

const yearShop = "Pin Bore Works"

// writeSteps founds a shop an hour before the first of some steps and writes
// those that were taken until now, on a clock that is set. It returns how many
// entries that are.
func writeSteps(ctx context.Context, t *terminal, dir string, steps []invented.Step, told func(done, total int)) (int, error) {
	clock := steps[0].At.Add(-time.Hour)
	then := *t
	then.Data, then.SetClock = dir, true
	then.Now = func() time.Time { return clock }
	shop := &hubInit{Shop: yearShop, By: "io", Initials: "IO", Units: "metric", hubAt: hubAt{Host: "127.0.0.1", DeskPort: 7460, BrokerPort: 7461}}
	if err := shop.begin(ctx, &then); err != nil {
		return 0, err
	}
	if err := passphrase(&then, dir).Set(ctx, demo.Passphrase); err != nil {
		return 0, err
	}
	f, err := folder.Open(ctx, dir, then.folder())
	if err != nil {
		return 0, err
	}
	filling := &demo.Year{Hub: f, Steps: steps, Until: t.Now(), Rand: t.Rand, Set: func(at time.Time) { clock = at }, Told: told}
	n, err := filling.Fill(ctx)
	if err == nil {
		err = f.Folded.Follow(ctx)
	}
	if err == nil { // so that who looks next finds all worked out
		view := f.Folded.View(ctx)
		view.Parts()
		err = view.Err()
	}
	return n, errors.Join(err, f.Close())
}

// tries are commands that show something of a year.
func tries(plan *invented.Plan) []string {
	last := plan.Jobs[len(plan.Jobs)-1].Coats[0]
	return []string{"recur --defect pinhole", "trace " + string(last.Lot.ID), "trace " + last.Casting, "parts defect_pinhole=yes 'soak_over_bake_k<0'", "parts --csv -o parts.csv", "due", "hub run"}
}
