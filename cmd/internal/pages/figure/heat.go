package figure

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/bake"
)

// loaded says, while the door is still open, what the powder asks for.
func (w *work) loaded(d *journal.BakeStart) {
	for _, b := range w.batches(d.Parts) {
		if len(b.schedule.Points()) > 0 {
			w.say(Sentence{Text: fmt.Sprintf("lot %s asks for %s, counted from when the metal is there, not the oven", b.lot, b.schedule), Rests: "Data sheet of the powder lot"})
		}
	}
}

// unproven names the parts of the run without a probe: their bake proves
// nothing.
func (w *work) unproven(probes []bake.Probe) {
	r := w.run()
	if r == nil {
		return
	}
	var bare []string
	for _, part := range r.Parts {
		if !slices.ContainsFunc(probes, func(p bake.Probe) bool { return p.On == string(part) }) {
			bare = append(bare, w.name(part))
		}
	}
	if len(bare) > 0 {
		w.say(Sentence{
			Text:  "no probe on " + strings.Join(bare, ", ") + ": whatever the oven shows, the cure will read as not proven",
			State: route.Open, Rests: rests("a probe on the heaviest section of each part", "common practice, no source"),
		})
	}
}

// batch is the parts of a bake with the powder of one lot on them.
type batch struct {
	lot      journal.LotID
	schedule bake.Schedule // empty if it is not known
	parts    []journal.Subject
}

// batches sorts parts by the powder that went on them last.
func (w *work) batches(parts []journal.Subject) (list []*batch) {
	for _, part := range parts {
		lot := w.lotOn(part)
		if lot == nil {
			continue
		}
		i := slices.IndexFunc(list, func(b *batch) bool { return b.lot == lot.Lot })
		if i < 0 {
			i = len(list)
			list = append(list, &batch{lot: lot.Lot, schedule: scheduleOf(lot)})
		}
		list[i].parts = append(list[i].parts, part)
	}
	return list
}

// scheduleOf returns a lot's schedule, or an empty one if there is none that
// can be used; the hold point says why.
func scheduleOf(lot *journal.PowderLot) bake.Schedule {
	var points []bake.Point
	for _, p := range lot.Schedule {
		points = append(points, bake.Point{Metal: p.Metal, Hold: p.Hold})
	}
	s, err := bake.NewSchedule(points...)
	if err != nil {
		return bake.Schedule{}
	}
	return s
}

// bake draws a trace and says what each part had of its powder's schedule.
// Without a trace of its own the entry shows the longest of its run.
func (w *work) bake(trace *journal.ProbeTrace) {
	probes, longest := w.bakeOf()
	w.unproven(probes)
	if trace == nil {
		trace = longest
	}
	if trace == nil {
		return
	}
	var channels []bake.ChannelSeries
	for _, c := range trace.Channels {
		channels = append(channels, bake.ChannelSeries{Channel: c.Channel, Readings: string(c.Readings)})
	}
	series, err := bake.NewSeries(string(trace.Seconds), bake.Scale(trace.Unit), channels...)
	if err != nil {
		w.say(Sentence{Text: "the trace cannot be read: " + err.Error(), State: route.Open})
		return
	}
	logged := slices.DeleteFunc(probes, func(p bake.Probe) bool { return !slices.Contains(series.Channels(), p.Channel) })
	result := w.judge(series, logged)
	picture := chart.Bake{Title: "Bake " + string(w.line.Subject.Run()), Trace: series, Probes: logged, Result: result, Name: func(part string) string { return w.name(journal.Subject(part)) }}
	d, err := picture.Draw()
	if err != nil {
		w.say(Sentence{Text: err.Error(), State: route.Open})
		return
	}
	title := "Thick: a probe on a part. Dashed: air. Nothing is drawn where nothing was logged."
	if result != nil {
		title += " Strict and lenient are fractions of the schedule, which is met in total at 1; that is no degree of cure."
	}
	w.draw(title, d)
}

// bakeOf gathers the probes that count in the run, and its longest trace.
func (w *work) bakeOf() (probes []bake.Probe, trace *journal.ProbeTrace) {
	r := w.run()
	if r == nil {
		return nil, nil
	}
	for _, l := range r.Lines {
		switch d := l.Effect().(type) {
		case *journal.BakeStart:
			for _, p := range d.Probes {
				probes = slices.DeleteFunc(probes, func(q bake.Probe) bool { return q.Channel == p.Channel })
				probes = append(probes, bake.Probe{Channel: p.Channel, Place: p.Place, On: string(p.On)})
			}
		case *journal.ProbeTrace:
			if trace == nil || strings.Count(string(d.Seconds), " ") > strings.Count(string(trace.Seconds), " ") {
				trace = d
			}
		}
	}
	return probes, trace
}

// judge says what each part with a probe had of the schedule of its powder. It
// returns what the table and the chart show: each channel by the schedule of
// its own part, the rest and the levels by the first.
func (w *work) judge(series *bake.Series, probes []bake.Probe) (shown *bake.Result) {
	r := w.run()
	if r == nil {
		return nil
	}
	for _, b := range w.batches(r.Parts) {
		r, err := bake.Judge(series, b.schedule, bake.DefaultRules(), probes)
		if err != nil {
			continue // without a schedule nothing can be said; the hold point says why
		}
		for _, part := range b.parts {
			if slices.ContainsFunc(probes, func(p bake.Probe) bool { return p.On == string(part) }) {
				w.had(part, r.On(string(part)), b.lot)
			}
		}
		if shown == nil {
			shown = &r
			continue
		}
		for i, c := range r.Channels {
			if slices.Contains(b.parts, journal.Subject(c.On)) {
				shown.Channels[i] = c
			}
		}
	}
	return shown
}

// had says what the probes on one part showed.
func (w *work) had(part journal.Subject, v bake.Verdict, lot journal.LotID) {
	w.say(Sentence{Text: w.name(part) + ": " + v.Say, Rests: rests("a schedule fraction of at least 1 on the strict reading", "data sheet of lot "+string(lot))})
	for _, warning := range v.Warnings {
		w.say(Sentence{Text: w.name(part) + ": " + warning.Says})
	}
}
