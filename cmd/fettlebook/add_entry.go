package main

import (
	"context"
	"fmt"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json/jsontext"
)

type addEntry struct {
	Kind    string   `arg:"" optional:"" help:"What happened, such as torque.applied; \"fettlebook schema\" lists the kinds. A - reads JSON objects from standard input."`
	Fields  []string `arg:"" optional:"" name:"field=value" help:"The data, such as torque=\"27 N·m\". Write vehicle.plate=… for a field of a field, give a list’s field once for each of its values, and write objects as JSON. A part of a run can be written short, as parts=JOB/CORNER/PART."`
	request `embed:""`
	Stdin   bool `help:"Read JSON objects from standard input, one a line or in a list: kind, job, corner, part, run or subject, by, photos, note, data. What an object leaves out is taken from the flags."`
	JSON    bool `name:"json" help:"Print each entry as JSON."`
}

// Help says how an entry looks.
func (*addEntry) Help() string {
	return `For example:
  fettlebook add torque.applied --job 4f7k --corner LF --part caliper --by io joint="banjo bolt" torque="27 N·m" tool=tw-1 --photo torque.jpg:"torque line"
  fettlebook add part.described --job 4f7k --corner LF --part caliper --by io preset="floating caliper, one piston" bleeders=2
  fettlebook add bake.started --by io set="200 °C" parts=4f7k/LF/caliper parts=4f7k/RF/caliper
  echo '{"kind":"note.made","job":"4f7k","by":"io","data":{"note":"dust boot torn"}}' | fettlebook add -

What a part has is begun with a preset of the job’s route card: each field that is given takes the place of the preset’s, a list as a whole; rubber=[] says that there is none.`
}

// objectMembers is what an object of standard input may have.
const objectMembers = "kind, job, corner, part, run, subject, by, photos, note, data"

// Run adds one entry, or those of standard input.
func (c *addEntry) Run(ctx context.Context, t *terminal) error {
	if c.Kind == "-" {
		c.Stdin, c.Kind = true, ""
	}
	switch {
	case c.Stdin && (c.Kind != "" || len(c.Fields) > 0 || len(c.Photos) > 0):
		return &exit.Error{Status: exit.Usage, Sentence: "an entry comes from the command line or from standard input, not from both"}
	case !c.Stdin && c.Kind == "":
		return &exit.Error{Status: exit.Usage, Sentence: "say which kind of entry; `fettlebook schema` lists the kinds"}
	case !c.Stdin && c.By == "":
		return nobody()
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	err = k.sayRefused(ctx)
	switch {
	case err != nil:
	case c.Stdin:
		err = c.all(ctx, k)
	default:
		err = c.one(ctx, k)
	}
	return k.close(ctx, err)
}

func nobody() error {
	return &exit.Error{Status: exit.Usage, Sentence: "say who did it, with --by or in FETTLEBOOK_BY"}
}

// one adds the entry of the command line.
func (c *addEntry) one(ctx context.Context, k *entryWriter) error {
	kind := journal.Kind(c.Kind)
	if err := mayWrite(kind, k.shelf.Identity); err != nil {
		return err
	}
	f, err := newForm(kind)
	if err != nil {
		return err
	}
	for _, assignment := range c.Fields {
		if err := f.set(assignment); err != nil {
			return err
		}
	}
	data, err := f.encode()
	if err != nil {
		return err
	}
	return c.add(ctx, k, kind, c.request, data)
}

// all adds the entries of standard input.
func (c *addEntry) all(ctx context.Context, k *entryWriter) error {
	n := 0
	err := k.each(ctx, "entries", func(ctx context.Context, raw jsontext.Value) error {
		o := entryObject{request: c.request}
		if err := readObject(raw, &o, objectMembers); err != nil {
			return err
		}
		err := c.add(ctx, k, o.Kind, o.request, o.Data)
		if err == nil {
			n++
		}
		return err
	})
	if err != nil || c.JSON {
		return err
	}
	_, err = fmt.Fprintf(k.t.Out, "Entries written: %d.\n", n)
	return err
}

func (c *addEntry) add(ctx context.Context, k *entryWriter, kind journal.Kind, r request, data jsontext.Value) error {
	ready, err := k.check(ctx, kind, r, data)
	if err != nil {
		return err
	}
	e, err := k.write(ctx, ready)
	if err != nil {
		return err
	}
	switch {
	case c.JSON:
		return printEntry(k.t.Out, e)
	case c.Stdin:
		return nil // the sum is said at the end
	}
	with := ""
	if n := len(ready.pictures); n > 0 {
		with = fmt.Sprintf(", with %s", words.Count(n, "photograph"))
	}
	if _, err = fmt.Fprintf(k.t.Out, "Written: %s about %s%s (entry %s).\n", kind, e.Subject, with, e.ID); err != nil || !ready.Begins {
		return err
	}
	_, err = fmt.Fprintf(k.t.Out, "The run is called %s. What belongs to it is written with --run %s.\n", e.Subject.Run(), e.Subject.Run())
	return err
}
