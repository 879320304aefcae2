package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/recorder"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

type logTrace struct {
	Bake     string   `arg:"" name:"run" help:"The bake, such as bake-17." placeholder:"RUN"`
	File     string   `arg:"" help:"The recorder’s CSV file, or - for standard input." placeholder:"FILE"`
	By       string   `env:"FETTLEBOOK_BY" help:"Who does it: a short name such as io." placeholder:"PERSON"`
	Channels []string `name:"channel" sep:"none" help:"A channel of the file, and the bake’s probe that it was: \"Probe 1=thin\"; can be given again. Without it, a channel belongs to the probe of its name." placeholder:"CHANNEL=PROBE"`
	Without  []string `sep:"none" help:"A channel of the file that is left out; can be given again." placeholder:"CHANNEL"`
	Note     string   `help:"A remark." placeholder:"TEXT"`

	unsaid `embed:"" group:"Recorder"`

	JSON bool `name:"json" help:"Print each entry as JSON."`
}

// Help says how a file is filed.
func (*logTrace) Help() string {
	return `The file becomes an entry of the bake, or several where one cannot hold it. Which probe was on which part is in the entry that the bake started with. For example:
  fettlebook log bake-17 bake.csv --by io --channel "Probe 1=thin" --without "Probe 4"`
}

// mostOfLog is the largest file that is read: days of a bake, a reading a second.
const mostOfLog = 32 << 20

// Run files a recorder's log.
func (c *logTrace) Run(ctx context.Context, t *terminal) error {
	if c.By == "" {
		return nobody()
	}
	raw, err := c.read(ctx, t)
	if err != nil {
		return err
	}
	format, err := c.format()
	if err != nil {
		return &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	log, err := recorder.Read(raw, format)
	if err != nil {
		return refusedFile(c.File, err)
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	return k.close(ctx, c.file(ctx, k, log))
}

func (c *logTrace) read(ctx context.Context, t *terminal) ([]byte, error) {
	in, err := source(ctx, t, c.File)
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(io.LimitReader(in, mostOfLog+1))
	if err = errors.Join(err, in.Close()); err == nil && len(raw) > mostOfLog {
		err = refusedFile(c.File, fmt.Errorf("this is bigger than %d MB: export one bake from the recorder, not all of them", mostOfLog>>20))
	}
	return raw, err
}

func refusedFile(file string, err error) error {
	return &exit.Error{Status: exit.Refused, Sentence: oneLine(sourceName(file) + ": " + err.Error()), Err: err}
}

// file writes the log, after every piece of it was checked.
func (c *logTrace) file(ctx context.Context, k *entryWriter, log *recorder.Log) error {
	run, bake, err := bakeOf(k.shelf.view, c.Bake)
	if err != nil {
		return err
	}
	places, err := c.places(log, bake.Probes)
	if err != nil {
		return err
	}
	filing, err := log.File(places, bake.Probes, c.Note, k.t.Now().Location())
	if err != nil {
		return refusedFile(c.File, err)
	}
	held := filing.Held(tracesOf(run))
	if !slices.Contains(held, false) {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("the temperatures of %s are in the record of %s already; nothing was written", sourceName(c.File), run.ID)}
	}
	var all []*ready
	var traces []*journal.ProbeTrace
	for i, trace := range filing.Traces {
		if held[i] {
			continue
		}
		data, err := json.Marshal(trace)
		if err != nil {
			return fmt.Errorf("encode a trace: %w", err)
		}
		r, err := k.check(ctx, journal.ProbeLogged, request{By: c.By, Run: string(run.ID)}, data)
		if err != nil {
			return err
		}
		all, traces = append(all, r), append(traces, trace)
	}
	c.remark(k.t.Err, log, filing, places)
	for i, r := range all {
		e, err := k.write(ctx, r)
		if err != nil {
			if i > 0 {
				err = fmt.Errorf("%d of %d entries %s written, and the same command writes the rest: %w", i, len(all), words.Choose(i == 1, "is", "are"), err)
			}
			return err
		}
		if err := c.say(k.t.Out, e, traces[i]); err != nil {
			return err
		}
	}
	return nil
}

// bakeOf finds a bake by its name, and what it started with.
func bakeOf(view *shop.View, typed string) (*record.Run, *journal.BakeStart, error) {
	run := view.Run(journal.RunID(typed))
	if err := view.Err(); err != nil {
		return nil, nil, err
	}
	if run == nil {
		return nil, nil, notFound("there is no run %s here; it may still be on another tablet%s", oneLine(typed), didYouMean(typed, view.Names("run")))
	}
	for _, l := range slices.Backward(run.Lines) {
		if b, ok := l.Effect().(*journal.BakeStart); ok {
			return run, b, nil
		}
	}
	return nil, nil, &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is not a bake here: no entry says that it was started and which probe was on which part", run.ID)}
}

func tracesOf(run *record.Run) (list []*journal.ProbeTrace) {
	for _, l := range run.Lines {
		if p, ok := l.Effect().(*journal.ProbeTrace); ok {
			list = append(list, p)
		}
	}
	return list
}

// places says where every channel was: as typed, else by its name.
func (c *logTrace) places(log *recorder.Log, probes []journal.Probe) ([]recorder.Place, error) {
	var names, known []string
	places := make([]recorder.Place, len(log.Channels))
	for i, channel := range log.Channels {
		names = append(names, channel.Name)
		places[i] = log.Guess(i, probes)
	}
	for _, p := range probes {
		known = append(known, p.Channel)
	}
	said := map[string]bool{}
	put := func(channel string, place recorder.Place) error {
		at := slices.Index(names, channel)
		problem := ""
		switch {
		case at < 0:
			problem = fmt.Sprintf("%s has no channel %s; its channels are %s", sourceName(c.File), oneLine(channel), list(names))
		case said[channel]:
			problem = fmt.Sprintf("the channel %s is given twice; keep one of them", oneLine(channel))
		case place.Probe != "" && !slices.Contains(known, place.Probe):
			problem = fmt.Sprintf("this bake has no probe %s; its probes are %s", oneLine(place.Probe), cmp.Or(list(known), "none"))
		}
		if problem != "" {
			return &exit.Error{Status: exit.Refused, Sentence: problem}
		}
		places[at], said[channel] = place, true
		return nil
	}
	for _, text := range c.Channels {
		channel, probe, _ := strings.Cut(text, "=")
		place := recorder.Place{Probe: strings.TrimSpace(probe)}
		if place.Probe == "" {
			return nil, &exit.Error{Status: exit.Refused, Sentence: oneLine(text) + ": write a channel and the bake’s probe that it was, such as Probe 1=thin"}
		}
		if err := put(strings.TrimSpace(channel), place); err != nil {
			return nil, err
		}
	}
	for _, channel := range c.Without {
		if err := put(channel, recorder.Place{Out: true}); err != nil {
			return nil, err
		}
	}
	return places, nil
}

// remark says what a person should look at, and what of the file is not filed.
func (c *logTrace) remark(out io.Writer, log *recorder.Log, filing recorder.Filing, places []recorder.Place) {
	for _, o := range log.Oddities() {
		i := slices.IndexFunc(log.Channels, func(c recorder.Channel) bool { return c.Name == o.Channel })
		if i < 0 || !places[i].Out {
			fmt.Fprintln(out, "note:", oneLine(o.Say(0)))
		}
	}
	for i, p := range places {
		switch {
		case p.Out:
			fmt.Fprintf(out, "note: %s is left out.\n", oneLine(log.Channels[i].Name))
		case p.Probe == "":
			fmt.Fprintf(out, "note: %s is not a probe of this bake, so it says nothing about a part.\n", oneLine(log.Channels[i].Name))
		}
	}
	if filing.Lost > 0 {
		fmt.Fprintf(out, "note: A channel has no reading in %s. They are kept as lost.\n", words.Of(filing.Lost, log.Samples, "sample"))
	}
	if split := filing.Split(); split != "" {
		fmt.Fprintln(out, "note:", split)
	}
}

func (c *logTrace) say(out io.Writer, e *journal.Entry, trace *journal.ProbeTrace) error {
	if c.JSON {
		return printEntry(out, e)
	}
	var names []string
	for _, channel := range trace.Channels {
		names = append(names, channel.Channel)
	}
	_, err := fmt.Fprintf(out, "Written: %s about %s, %s of %s (entry %s).\n", journal.ProbeLogged, e.Subject, words.Count(strings.Count(string(trace.Seconds), " ")+1, "reading"), list(names), e.ID)
	return err
}
