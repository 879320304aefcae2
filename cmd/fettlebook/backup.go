package main

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/exit"
	"fettlebook/journal/words"
)

type makeBackup struct {
	To    string `arg:"" optional:"" help:"Where the backup lies: a folder on another disk. Left out, where the last ones lie." type:"path" placeholder:"FOLDER"`
	Every string `help:"Have one made every so many hours from now on, while the hub or the tablet runs; off for not any more." placeholder:"HOURS"`
	Keep  int    `default:"3" help:"How many sets stay, this one among them (default: ${default})."`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Help says what a backup is.
func (*makeBackup) Help() string {
	return "A set holds the logs, the keys and all settings as they were at one moment; photographs are copied once for all sets. " +
		"It is copied while programs use the folder, and then checked like `fettlebook audit` does. " +
		"Whoever holds a backup holds this machine’s keys and the customers’ cards: keep it where nobody else reads it. " +
		"What was erased is gone from it when the sets before are."
}

// Run copies a data folder, and checks the copy.
func (c *makeBackup) Run(ctx context.Context, t *terminal) error {
	hours, err := c.hours()
	if err != nil {
		return err
	}
	plan, err := backup.ReadPlan(t.Data)
	if err != nil && c.Every == "" {
		return err
	}
	if c.To == "" && plan != nil {
		c.To = plan.To
	}
	if c.Every == "off" {
		if err := backup.WritePlan(t.Data, nil); err != nil {
			return err
		}
		fmt.Fprintln(t.Out, "Regular backups have ended. Begin them again with `fettlebook backup FOLDER --every 24`.")
		return nil
	}
	if c.To == "" {
		return &exit.Error{Status: exit.Usage, Sentence: "say where the backup is to lie: a folder on another disk"}
	}
	p := newProgress(t, "copying")
	s, err := backup.Make(ctx, backup.Asked{From: t.Data, To: c.To, Now: t.Now, Keep: c.Keep, Progress: p.step})
	p.clear()
	if err != nil {
		return err
	}
	if err := c.check(ctx, t, s); err != nil {
		return err
	}
	if hours == 0 {
		return nil
	}
	if err := backup.WritePlan(t.Data, &backup.Plan{To: c.To, Hours: hours, Keep: c.Keep}); err != nil {
		return err
	}
	if !c.JSON {
		fmt.Fprintf(t.Out, "From now on one is made every %s while the hub or the tablet runs.\n", words.Count(hours, "hour"))
	}
	return nil
}

// check audits a set, and says what it holds and how it came out.
func (c *makeBackup) check(ctx context.Context, t *terminal, s *backup.Set) error {
	p := newProgress(t, "checking")
	report, err := s.Audit(ctx, c.To, t.Now(), p.steps)
	p.clear()
	if err != nil {
		return err
	}
	if c.JSON {
		err = printWhole(t.Out, backupView{s, s.Dir, report.Damaged()})
	} else {
		fmt.Fprintf(t.Out, "The backup is in %s: %s and %s.\n", s.Dir, words.Count(s.Entries(), "entry"), words.Count(s.Originals, "photograph"))
	}
	switch {
	case err != nil:
		return err
	case report.Damaged():
		return &exit.Error{Status: exit.Damaged, Sentence: "the backup was checked, and damage was found in it; `fettlebook audit` lists the damage in the folder. Keep an older backup too"}
	case !c.JSON:
		fmt.Fprintln(t.Out, "It was checked, and nothing in it is damaged.")
	}
	return nil
}

// hours is how often backups are to be made, 0 if nothing was said.
func (c *makeBackup) hours() (int, error) {
	if c.Keep < 1 {
		return 0, &exit.Error{Status: exit.Usage, Sentence: "at least one set has to stay; give --keep 1 or more"}
	}
	if c.Every == "" || c.Every == "off" {
		return 0, nil
	}
	n, err := strconv.Atoi(c.Every)
	if err != nil || n < 1 || n > mostHours {
		return 0, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--every takes a number of hours, 1 to %d, or off", mostHours)}
	}
	return n, nil
}

// mostHours is a month: who waits longer has no backup.
const mostHours = 31 * 24

type putBack struct {
	From string `arg:"" help:"Where the backup lies." type:"path" placeholder:"FOLDER"`
	Set  string `help:"Which set, by the name of its folder; left out, the newest." placeholder:"NAME"`
}

// Help says what to expect.
func (*putBack) Help() string {
	return "The data folder must not be there yet, or be empty. What was written after the backup comes back from the other machines of the shop. " +
		"Never let this folder and the one that it is a copy of both go on: the log of a machine that goes on at two places counts at one of them."
}

// Run makes a data folder of a backup.
func (c *putBack) Run(ctx context.Context, t *terminal) error {
	s, err := backup.Newest(c.From)
	if c.Set != "" {
		s, err = backup.Read(c.From, c.Set)
	}
	if err != nil {
		return err
	}
	p := newProgress(t, "copying")
	err = backup.Restore(ctx, c.From, s, t.Data, p.step)
	p.clear()
	if err != nil {
		return err
	}
	at := s.Made.In(time.Local)
	fmt.Fprintf(t.Out, "%s holds what %q held on %s at %s: %s.\n", t.Data, s.ShopName, words.Day(at), words.Clock(at), words.Count(s.Entries(), "entry"))
	fmt.Fprintln(t.Out, "What was written after that comes back from the other machines. `fettlebook audit` checks the folder.")
	return nil
}

// backupView is a set of a backup, as it is printed.
type backupView struct {
	*backup.Set
	Path    string `json:"path"`
	Damaged bool   `json:"damaged"`
}
