package write

import (
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/recorder"
)

// options are a choice whose first is to leave it to the file.
func options(now string, all ...string) []role {
	list := []role{{Shows: "", On: now == ""}}
	for _, one := range all {
		list = append(list, role{Shows: one, On: now == one})
	}
	return list
}

// probes are the bake's probes, as far as its start is here.
func (p *probePage) probes() []journal.Probe {
	if p.Start == nil {
		return nil
	}
	return p.Start.Probes
}

// where lists the places where a channel's probe may have been: those of the
// bake's probes first. What is not said, or says nothing that is offered, is
// guessed.
func (p *probePage) where(channel int, said []string) []where {
	var list []where
	for _, probe := range p.probes() {
		say := probe.Channel + ": " + probe.Place
		if probe.On != "" {
			say += ", on " + pages.Place(probe.On)
		}
		list = append(list, where{Value: bakeName + probe.Channel, Say: say})
	}
	list = append(list, where{Value: asNamed, Say: "somewhere else, called " + p.Read.Channels[channel].Name}, where{Value: leftOut, Say: "leave it out"})
	mark := func(value string) bool {
		for i := range list {
			if list[i].Value == value {
				list[i].On = true
				return true
			}
		}
		return false
	}
	if len(said) > 0 && mark(said[0]) {
		return list
	}
	switch guess := p.Read.Guess(channel, p.probes()); {
	case guess.Out:
		mark(leftOut)
	case guess.Probe != "":
		mark(bakeName + guess.Probe)
	default:
		mark(asNamed)
	}
	return list
}

// places are where the channels were, as the page has it now.
func (p *probePage) places() (list []recorder.Place) {
	for _, c := range p.Channels {
		for _, o := range c.Where {
			if !o.On {
				continue
			}
			place := recorder.Place{Out: o.Value == leftOut}
			if !place.Out {
				place.Probe = strings.TrimPrefix(o.Value, bakeName)
			}
			list = append(list, place)
		}
	}
	return list
}
