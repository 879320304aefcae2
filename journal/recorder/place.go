package recorder

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
)

// Place is where a channel's probe was.
type Place struct {
	Probe string // as the bake names it; "" for none of the bake's, filed under the channel's own name
	Out   bool   // the channel is not filed
}

// PlaceError says why channels cannot be filed as they were placed.
type PlaceError struct {
	Channel string // of the file; "" when it is about all of them
	Problem string // what is wrong and what to do, in whole sentences
}

// Error returns the problem.
func (e *PlaceError) Error() string { return e.Problem }

// Guess returns where a channel's probe most likely was: at the bake's probe of its name,
// 1 for "Probe 1" too. A channel without a reading is left out unless a probe has its
// name.
func (l *Log) Guess(channel int, probes []journal.Probe) Place {
	c := l.Channels[channel]
	for _, p := range probes {
		if names(p.Channel, c.Name) {
			return Place{Probe: p.Channel}
		}
	}
	return Place{Out: c.Missing == l.Samples}
}

func names(probe, channel string) bool {
	fields := strings.Fields(channel)
	return strings.EqualFold(probe, channel) || len(fields) > 0 && strings.EqualFold(probe, fields[len(fields)-1])
}

// placed is a channel that is filed, under its name there, and what it touches.
type placed struct {
	column int
	name   string
	on     journal.Subject
}

// place names the channels that are filed, one place for each of the log's.
func (l *Log) place(places []Place, probes []journal.Probe) ([]placed, error) {
	var list []placed
	for i, p := range places {
		one := placed{column: i, name: l.Channels[i].Name}
		switch {
		case p.Out:
			continue
		case p.Probe != "":
			at := slices.IndexFunc(probes, func(b journal.Probe) bool { return b.Channel == p.Probe })
			if at < 0 {
				return nil, &PlaceError{Channel: one.name, Problem: fmt.Sprintf("This bake has no probe %s. Correct the bake, or choose another place.", p.Probe)}
			}
			one.name, one.on = p.Probe, probes[at].On
		}
		if slices.ContainsFunc(list, func(o placed) bool { return o.name == one.name }) {
			return nil, &PlaceError{Channel: l.Channels[i].Name, Problem: fmt.Sprintf("Two channels are said to be %s. A probe is in one place: change one of them.", one.name)}
		}
		list = append(list, one)
	}
	if len(list) == 0 {
		return nil, &PlaceError{Problem: "Every channel is left out. Keep at least one."}
	}
	return list, nil
}
