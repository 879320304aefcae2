package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/exit"

	"github.com/go-json-experiment/json"
)

type runDemo struct {
	Once    bool   `help:"Play the day to its end, print the record and how the machines stand, and stop."`
	Photos  string `help:"Use the .jpg and .png files of this folder instead of the pictures built in." type:"existingdir" placeholder:"DIR"`
	Dir     string `help:"Keep the data folders here; left out, a folder that is removed at the end, or fettlebook-year for a year." type:"path" placeholder:"DIR"`
	KillHub bool   `help:"Kill the hub with no warning in the middle of the day and start it again."`
	JSON    bool   `name:"json" help:"Print how the machines stand as JSON; the story goes to standard error."`
	year
}

// Run plays the day.
func (c *runDemo) Run(ctx context.Context, t *terminal) (err error) {
	switch {
	case c.Year && (c.Once || c.Photos != "" || c.KillHub || c.JSON):
		return &exit.Error{Status: exit.Usage, Sentence: "--once, --photos, --kill-hub and --json are of the day that is played; leave them out, or leave out --year"}
	case !c.Year && (c.Seed != nil || c.Coats != nil):
		return &exit.Error{Status: exit.Usage, Sentence: "--seed and --coats are of a year; add --year"}
	case c.Year:
		return c.fill(ctx, t, c.Dir)
	}
	dir := c.Dir
	if dir == "" {
		if dir, err = os.MkdirTemp("", "fettlebook-demo-"); err != nil {
			return fmt.Errorf("make a folder for the demo: %w", err)
		}
		defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	} else if left, err := os.ReadDir(dir); err == nil && len(left) > 0 {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the folder %s is not empty; name one that is, or leave --dir out", dir)}
	}
	var album demo.Album
	if c.Photos != "" {
		if album, err = demo.OpenAlbum(c.Photos); err != nil {
			return &exit.Error{Status: exit.NotFound, Sentence: err.Error(), Err: err}
		}
	}
	program, err := os.Executable()
	if err != nil {
		return fmt.Errorf("find this program’s own file: %w", err)
	}
	var told io.Writer = t.Out
	if c.JSON {
		told = t.Err
	}
	day, err := demo.Play(ctx, demo.Config{Dir: dir, Program: program, Photos: album, KillHub: c.KillHub, Out: told, Now: t.Now, Rand: t.Rand})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, day.Close()) }()
	return c.report(ctx, t, day)
}

func (c *runDemo) report(ctx context.Context, t *terminal, day *demo.Day) error {
	r, err := day.Sum(ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		if err := json.MarshalWrite(t.Out, r); err != nil {
			return fmt.Errorf("print: %w", err)
		}
		fmt.Fprintln(t.Out)
	} else {
		if err := day.WriteRecords(ctx, r, t.Out); err != nil {
			return err
		}
		r.WriteSummary(t.Out)
	}
	if !r.Same {
		return &exit.Error{Status: exit.Damaged, Sentence: "the record at the hub is not the one that the tablets wrote; keep the folders and report this"}
	}
	if c.Once {
		return nil
	}
	fmt.Fprintln(t.Err, "\nThe hub and both tablets are still up. In another terminal, try:")
	for _, m := range r.Machines {
		fmt.Fprintf(t.Err, "  fettlebook jobs --data %s    (%s)\n", m.Dir, m.Name)
	}
	fmt.Fprintf(t.Err, "They go by the clock of this machine; by that of the demo after\n  export %s=%s\n", demo.ClockVariable, day.ClockFile())
	sites, err := day.Sites(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(t.Err, "\nTheir pages, in the browser; the desk’s passphrase is %q:\n", demo.Passphrase)
	for _, s := range sites {
		fmt.Fprintf(t.Err, "  %s    (%s)\n", s.Address, s.Name)
	}
	fmt.Fprintln(t.Err, "Ctrl-C ends the day.")
	<-ctx.Done()
	return nil
}
