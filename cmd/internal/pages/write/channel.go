package write

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
)

// options are a choice whose first is to leave it to the file.
func options(now string, all ...string) []role {
	list := []role{{Shows: "", On: now == ""}}
	for _, one := range all {
		list = append(list, role{Shows: one, On: now == one})
	}
	return list
}

// where lists the places where a channel's probe may have been: those of the
// bake's probes, the one of the same name first.
func (p *probePage) where(c channelRead, samples int, said []string) []where {
	var list []where
	if p.Start != nil {
		for _, probe := range p.Start.Probes {
			say := probe.Channel + ": " + probe.Place
			if probe.On != "" {
				say += ", on " + pages.Place(probe.On)
			}
			list = append(list, where{Value: bakeName + probe.Channel, Say: say, On: len(said) == 0 && sameChannel(probe.Channel, c.Name)})
		}
	}
	list = append(list, where{Value: asNamed, Say: "somewhere else, called " + c.Name}, where{Value: leftOut, Say: "leave it out"})
	now := slices.IndexFunc(list, func(o where) bool {
		if len(said) > 0 {
			return o.Value == said[0]
		}
		return o.On
	})
	if now < 0 {
		now = len(list) - 2
		if c.Missing == samples {
			now = len(list) - 1
		}
	}
	for i := range list {
		list[i].On = i == now
	}
	return list
}

// sameChannel tells the bake's name of a probe in the name that the recorder
// gives a channel: 1 in “Probe 1”.
func sameChannel(bake, file string) bool {
	fields := strings.Fields(file)
	return strings.EqualFold(bake, file) || len(fields) > 0 && strings.EqualFold(bake, fields[len(fields)-1])
}

// carried are the channels that are to be written, or why they cannot be.
func (p *probePage) carried() ([]carried, string) {
	var list []carried
	for i, c := range p.Channels {
		one := carried{column: i, name: c.Name}
		switch now := c.Where[slices.IndexFunc(c.Where, func(o where) bool { return o.On })].Value; {
		case now == leftOut:
			continue
		case now != asNamed:
			one.name = strings.TrimPrefix(now, bakeName)
			for _, probe := range p.Start.Probes {
				if probe.Channel == one.name {
					one.on = probe.On
				}
			}
		}
		if slices.ContainsFunc(list, func(o carried) bool { return o.name == one.name }) {
			return nil, fmt.Sprintf("Two channels are said to be %s. A probe is in one place: change one of them.", one.name)
		}
		list = append(list, one)
	}
	if len(list) == 0 {
		return nil, "Every channel is left out. Keep at least one."
	}
	return list, ""
}
