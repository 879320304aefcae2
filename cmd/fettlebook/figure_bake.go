package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

type figureBake struct {
	Files    []string  `arg:"" optional:"" name:"file" help:"A recorder's CSV file, or - for standard input; several are the bakes of a casting's life."`
	Schedule []entered `required:"" sep:"none" help:"A point of the powder's schedule, at metal temperature; can be given again." placeholder:"\"20 min @ 180 °C\""`
	Probes   []string  `name:"probe" sep:"none" help:"A channel that is on a part, and where: \"Probe 1=left caliper: pin bore\"; can be given again. All others are air." placeholder:"CHANNEL=PART"`

	unsaid `embed:"" group:"Recorder"`

	bakeLimits `embed:"" group:"Limits"`

	Like  []string `group:"Estimate" sep:"none" help:"An earlier run of the same kind of part in the same oven, from the closing of the door on, to estimate the next; can be given again." placeholder:"FILE"`
	Air   string   `group:"Estimate" help:"The channel of the oven's air in those files (default: the air was as --oven says)." placeholder:"CHANNEL"`
	Oven  entered  `group:"Estimate" help:"The air in the oven for the estimate." placeholder:"\"200 °C\""`
	Start entered  `group:"Estimate" default:"20 °C" help:"How warm the part goes in." placeholder:"\"20 °C\""`
	JSON  bool     `name:"json" help:"Print JSON."`
}

// Help says how a bake looks.
func (*figureBake) Help() string {
	return `For example:
  fettlebook figure bake bake.csv --schedule "20 min @ 180 °C" --schedule "10 min @ 200 °C" --probe "Probe 1=left caliper: pin bore"`
}

type (
	// bakeFigure is the JSON of bakes. Fractions are of the schedule, 1 where it was met in
	// total; they are no degree of cure. Estimate is there when it was asked for.
	bakeFigure struct {
		worksheet
		Schedule []bakePoint   `json:"schedule"` // coldest first
		EnergyKJ float64       `json:"activation_energy_kj_per_mol"`
		Runs     []bakeRun     `json:"runs"` // one for each file
		Heat     []bakeHeat    `json:"heat"` // one for each part, over all runs
		Estimate *bakeEstimate `json:"estimate,omitzero"`
	}

	bakePoint struct {
		MetalC  float64 `json:"metal_c"`
		HoldMin float64 `json:"hold_min"`
	}
)

// Run prints the verdicts on bakes.
func (c *figureBake) Run(ctx context.Context, t *terminal) error {
	f, err := c.work(ctx, t)
	return answer(t, c.JSON, f, err)
}

func (c *figureBake) work(ctx context.Context, t *terminal) (*bakeFigure, error) {
	switch {
	case len(c.Files)+len(c.Like) == 0:
		return nil, wrongUse("name a recorder's file, or - for standard input")
	case len(c.Like) == 0 && (c.Oven != "" || c.Air != ""):
		return nil, wrongUse("--oven and --air are for an estimate: name an earlier run with --like")
	case len(c.Like) > 0 && c.Oven == "":
		return nil, wrongUse("say how hot the oven's air is for the estimate, with --oven")
	}
	f := &bakeFigure{worksheet: worksheet{Figure: "bake"}}
	in := intake{worksheet: &f.worksheet}
	b := bakery{t: t, figure: f}
	b.read(&in, c)
	if in.err != nil {
		return nil, in.err
	}
	f.Formula = []string{
		"fraction = ∫ dt/t(T), t(T) = t_ref·exp((Ea/R)·(1/T − 1/T_ref)); at 1 the schedule was met in total, which is no degree of cure",
	}
	f.EnergyKJ = b.schedule.ActivationEnergy() / 1000
	for _, p := range b.schedule.Points() {
		f.Schedule = append(f.Schedule, bakePoint{p.Metal.In(unit.Celsius), p.Hold.In(unit.Minute)})
	}
	f.result("activation energy", "%.1f kJ/mol, from the schedule", f.EnergyKJ)
	for _, w := range b.schedule.Warnings() {
		f.Warnings = append(f.Warnings, w.Says)
	}
	for _, file := range c.Files {
		if err := b.run(ctx, file); err != nil {
			return nil, err
		}
	}
	b.sum()
	if len(c.Like) > 0 {
		if err := b.estimate(ctx, &in, c); err != nil {
			return nil, err
		}
	}
	if err := b.placed(); err != nil {
		return nil, err
	}
	f.Limits = append(f.Limits, b.limits()...)
	return f, nil
}

// bakery works out bakes.
type bakery struct {
	t      *terminal
	figure *bakeFigure

	schedule bake.Schedule
	probes   []bake.Probe
	format   recorder.Format
	rules    bake.Rules
	heat     bake.HeatLimit

	strictFrom, lenientFrom float64 // °C, from which time counted

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
			in.fail(fmt.Errorf("probe %q: the channel stands twice; keep one of them", text))
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
	if points := b.schedule.Points(); len(points) > 0 {
		lowest := points[0].Metal.In(unit.Celsius)
		b.strictFrom, b.lenientFrom = lowest-b.rules.Strict.Below.Value, lowest-b.rules.Lenient.Below.Value
	}
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

// run judges one file.
func (b *bakery) run(ctx context.Context, file string) error {
	trace, probes, closed, err := b.open(ctx, file)
	if err != nil {
		return err
	}
	if err := b.placed(); err != nil && !b.several {
		return errors.Join(err, closed())
	}
	r, err := bake.Judge(trace, b.schedule, b.rules, probes)
	if err = errors.Join(err, closed()); err != nil {
		return fmt.Errorf("%s: %w", sourceName(file), err)
	}
	b.fill(sourceName(file), trace.Begun(), r)
	return nil
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
