package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

type figureBake struct {
	Files    []string  `arg:"" optional:"" name:"file" help:"A recorder’s CSV file, or - for standard input; several are the bakes of a casting’s life."`
	Schedule []entered `required:"" sep:"none" help:"A point of the powder’s schedule, at metal temperature; can be given again." placeholder:"\"20 min @ 180 °C\""`
	Probes   []string  `name:"probe" sep:"none" help:"A channel that is on a part, and where: \"Probe 1=left caliper: pin bore\"; can be given again. All others are air." placeholder:"CHANNEL=PART"`

	unsaid `embed:"" group:"Recorder"`

	bakeLimits `embed:"" group:"Limits"`

	Like  []string `group:"Estimate" sep:"none" help:"An earlier run of the same kind of part in the same oven, from the closing of the door on, to estimate the next; can be given again." placeholder:"FILE"`
	Air   string   `group:"Estimate" help:"The channel of the oven’s air in those files (default: the air was as --oven says)." placeholder:"CHANNEL"`
	Oven  entered  `group:"Estimate" help:"The air in the oven for the estimate." placeholder:"\"200 °C\""`
	Start entered  `group:"Estimate" default:"20 °C" help:"How warm the part goes in." placeholder:"\"20 °C\""`
	JSON  bool     `name:"json" help:"Print JSON."`
}

// Run prints the verdicts on bakes.
func (c *figureBake) Run(ctx context.Context, t *terminal) error {
	return t.figure("bake", c.JSON, func(in *intake) (sheet.Sheet, error) { return c.work(ctx, t, in) })
}

func (c *figureBake) work(ctx context.Context, t *terminal, in *intake) (s sheet.Sheet, err error) {
	switch {
	case len(c.Files)+len(c.Like) == 0:
		return s, wrongUse("name a recorder’s file, or - for standard input")
	case len(c.Like) == 0 && (c.Oven != "" || c.Air != ""):
		return s, wrongUse("--oven and --air are for an estimate: name an earlier run with --like")
	case len(c.Like) > 0 && c.Oven == "":
		return s, wrongUse("say how hot the oven’s air is for the estimate, with --oven")
	}
	b := bakery{t: t}
	if b.read(in, c); in.err != nil {
		return s, in.err
	}
	s = b.schedule.Sheet()
	var runs, heat [][]sheet.Result
	for _, file := range c.Files {
		run, err := b.run(ctx, file)
		if err != nil {
			return s, err
		}
		runs, run.Results = append(runs, run.Results), nil
		s.Join(run)
	}
	s.Put("runs", runs)
	for _, part := range bake.Parts(b.probes) {
		if doses := b.doses[part]; len(doses) > 0 {
			dose := bake.SumHeat(b.heat, doses...).Sheet(part)
			heat, dose.Results = append(heat, dose.Results), nil
			s.Join(dose)
		}
	}
	s.Put("heat", heat)
	if len(c.Like) > 0 {
		estimate, err := b.estimate(ctx, in, c)
		if err != nil {
			return s, err
		}
		s.Under("estimate", estimate)
	}
	s.Join(b.rules.Sheet(b.schedule, b.heat))
	return s, b.placed()
}

// bakery works out bakes.
type bakery struct {
	t *terminal

	schedule bake.Schedule
	probes   []bake.Probe
	format   recorder.Format
	rules    bake.Rules
	heat     bake.HeatLimit

	several bool            // files, so that a probe may be missing in one
	missing map[string]bool // channels of probes, while no file had them
	had     []string        // channels of the last file
	doses   map[string][]bake.HeatRun
}

// read understands the command line.
func (b *bakery) read(in *intake, c *figureBake) {
	var points []bake.Point
	for _, text := range c.Schedule {
		in.typed("schedule", string(text))
		more, err := schedulePoints(string(text))
		if err != nil {
			in.fail(err)
		}
		points = append(points, more...)
	}
	if in.err != nil {
		return
	}
	var err error
	if b.schedule, err = bake.NewSchedule(points...); err != nil {
		in.fail(err)
	}
	b.missing, b.doses = map[string]bool{}, map[string][]bake.HeatRun{}
	for _, text := range c.Probes {
		in.typed("probe", text)
		channel, where, found := strings.Cut(text, "=")
		on, place, _ := strings.Cut(where, ":")
		p := bake.Probe{Channel: strings.TrimSpace(channel), On: strings.TrimSpace(on), Place: strings.TrimSpace(place)}
		if !found || p.Channel == "" || p.On == "" {
			in.fail(fmt.Errorf("probe %q: write the channel and the part that it touches, such as Probe 1=left caliper: pin bore", text))
		}
		if b.missing[p.Channel] {
			in.fail(fmt.Errorf("probe %q: the channel is given twice; keep one of them", text))
		}
		b.probes, b.missing[p.Channel] = append(b.probes, p), true
	}
	in.typed("readings", c.Readings)
	if b.format, err = c.format(); err != nil {
		in.fail(err)
	}
	in.typed("times", c.Times)
	in.typed("dates", c.Dates)
	b.several = len(c.Files)+len(c.Like) > 1
	b.rules, b.heat = c.rules(in)
}

// schedulePoints reads one point, or several with semicolons or commas between.
func schedulePoints(text string) ([]bake.Point, error) {
	if strings.Count(text, "@") != 1 {
		s, err := bake.ParseSchedule(text)
		return s.Points(), err
	}
	hold, metal, _ := strings.Cut(text, "@")
	var p bake.Point
	var err error
	if p.Hold, err = unit.Parse[unit.Duration](hold); err == nil {
		p.Metal, err = unit.Parse[unit.Temperature](metal)
	}
	if err != nil {
		return nil, fmt.Errorf("schedule %w", err)
	}
	return []bake.Point{p}, nil
}

// open reads a recorder's file up to its first readings, and says which of the probes
// it has.
func (b *bakery) open(ctx context.Context, file string) (r *recorder.Reader, probes []bake.Probe, closed func() error, err error) {
	in, err := source(ctx, b.t, file)
	if err != nil {
		return nil, nil, nil, err
	}
	if r, err = recorder.NewReader(in, b.format); err != nil {
		return nil, nil, nil, errors.Join(fmt.Errorf("%s: %w", sourceName(file), err), in.Close())
	}
	b.had = r.Channels()
	for _, p := range b.probes {
		if slices.Contains(b.had, p.Channel) {
			probes = append(probes, p)
			delete(b.missing, p.Channel)
		}
	}
	return r, probes, in.Close, nil
}

// run judges one file, and notes down the heat that each part had in it.
func (b *bakery) run(ctx context.Context, file string) (s sheet.Sheet, err error) {
	trace, probes, closed, err := b.open(ctx, file)
	if err != nil {
		return s, err
	}
	if err := b.placed(); err != nil && !b.several {
		return s, errors.Join(err, closed())
	}
	r, err := bake.Judge(trace, b.schedule, b.rules, probes)
	name, parts := sourceName(file), bake.Parts(b.probes)
	if err = errors.Join(err, closed()); err != nil {
		return s, fmt.Errorf("%s: %w", name, err)
	}
	s = r.Sheet(name, trace.Begun(), parts...)
	if b.several {
		for i := range s.Warnings {
			s.Warnings[i] = name + ": " + s.Warnings[i]
		}
		for i := range s.Verdicts {
			s.Verdicts[i].Sentence = name + ": " + s.Verdicts[i].Sentence
		}
	}
	for _, part := range parts {
		if minutes, measured := r.HeatOn(part); measured {
			b.doses[part] = append(b.doses[part], bake.HeatRun{Run: name, Minutes: minutes})
		} else {
			s.Warn(fmt.Sprintf("%s has no readings on %s, so its heat is not in the sum", name, part))
		}
	}
	return s, nil
}

// placed refuses a probe on a channel that no file has.
func (b *bakery) placed() error {
	for _, p := range b.probes {
		if b.missing[p.Channel] {
			return fmt.Errorf("there is no channel %q, where a probe is said to be: the channels are %s", p.Channel, list(b.had))
		}
	}
	return nil
}
