package facts

import (
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
)

// recording is what one recorder logged of a bake, or of some parts in it.
type recording struct {
	trace *journal.ProbeTrace
	lines []*record.Line
	filed bool // out of a recorder's file
}

// recordings puts the pieces of a recorder's file together that one entry could
// not hold: a piece that has no file of its own goes on where the one before
// it ends, or begins with the file for the probes of another part. All others
// are recordings of their own.
func recordings(traces []Event) (list []recording) {
	for _, e := range traces {
		t := e.Data.(*journal.ProbeTrace)
		i := slices.IndexFunc(list, func(r recording) bool { return t.File.IsZero() && r.goesOn(t) })
		if i < 0 {
			filed := !t.File.IsZero() || slices.ContainsFunc(list, func(r recording) bool { return r.filed && r.beginsLike(t) })
			list = append(list, recording{t, []*record.Line{e.Line}, filed})
			continue
		}
		list[i].trace, list[i].lines = joined(list[i].trace, t), append(list[i].lines, e.Line)
	}
	return list
}

func (r recording) beginsLike(t *journal.ProbeTrace) bool {
	a := r.trace
	return a.Unit == t.Unit && time.Time(a.Begun).Equal(time.Time(t.Begun)) && a.Seconds.First() == t.Seconds.First()
}

func (r recording) goesOn(t *journal.ProbeTrace) bool {
	a := r.trace
	return r.filed && a.Unit == t.Unit && time.Time(a.Begun).Equal(time.Time(t.Begun)) && a.Seconds.Last() < t.Seconds.First() &&
		slices.EqualFunc(a.Channels, t.Channels, func(a, b journal.Channel) bool { return a.Channel == b.Channel })
}

func joined(a, b *journal.ProbeTrace) *journal.ProbeTrace {
	both := *a
	both.Seconds += " " + b.Seconds
	both.Channels = slices.Clone(a.Channels)
	for i := range both.Channels {
		both.Channels[i].Readings += " " + b.Channels[i].Readings
	}
	return &both
}

// touches reports whether a channel was on a part.
func (r recording) touches(on journal.Subject, probes []bake.Probe) bool {
	return slices.ContainsFunc(logged(probes, r.trace), func(p bake.Probe) bool { return p.On == string(on) })
}

// logged returns the probes that a trace has.
func logged(probes []bake.Probe, t *journal.ProbeTrace) (list []bake.Probe) {
	for _, p := range probes {
		if slices.ContainsFunc(t.Channels, func(c journal.Channel) bool { return c.Channel == p.Channel }) {
			list = append(list, p)
		}
	}
	return list
}

// shownBy is the part whose probe shows what another one had: its own, or one
// that stands for it. Because says why there is none.
type shownBy struct {
	On      journal.Subject
	Stands  bool
	Because Cause
}

// shownBy finds out by which probe a part is judged. One stands for another
// part if the person at the oven said so, and both are of one kind, of one
// metal as far as anybody wrote, and the other one is not the heavier.
func (s *Stock) shownBy(on journal.Subject, probes []bake.Probe, stands []journal.StandIn) shownBy {
	if slices.ContainsFunc(probes, func(p bake.Probe) bool { return p.On == string(on) }) {
		return shownBy{On: on}
	}
	i := slices.IndexFunc(stands, func(in journal.StandIn) bool { return in.Part == on })
	if i < 0 {
		return shownBy{On: on, Because: NoProbe}
	}
	at := slices.IndexFunc(probes, func(p bake.Probe) bool { return p.Channel == stands[i].Probe && p.On != "" })
	if at < 0 {
		return shownBy{On: on, Because: NoProbe}
	}
	by := shownBy{On: journal.Subject(probes[at].On), Stands: true}
	mine, its := s.metalOf(on), s.metalOf(by.On)
	switch {
	case stands[i].Is == journal.Heavier:
		by.Because = HeavierPart
	case kindOf(on) != kindOf(by.On):
		by.Because = OtherKind
	case mine != "" && its != "" && mine != its:
		by.Because = OtherMetal
	}
	return by
}

// figures say whose probe decided.
func (b shownBy) figures(v bake.Verdict) []Figure {
	list := []Figure{with("probe", v.Coldest), with("place", v.Place)}
	if b.Stands {
		list = append(list, with("on", string(b.On)))
	}
	return list
}

// kindOf returns what a part is called without its number.
func kindOf(part journal.Subject) string { return strings.ToLower(card.Base(part.Part())) }

// metalOf returns of what metal a part is tagged to be; "" if nobody knows.
func (s *Stock) metalOf(part journal.Subject) journal.Metal {
	p := s.part(part)
	if p == nil {
		return ""
	}
	tag := lastOf(s.events(p.Timeline()), is[journal.Tagging])
	if tag == nil || tag.Data.(*journal.Tagging).Metal == journal.MetalNotKnown {
		return ""
	}
	return tag.Data.(*journal.Tagging).Metal
}
