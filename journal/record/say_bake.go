package record

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayBake states the work of the oven.
func sayBake(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.Soaking:
		return words.Clauses(fmt.Sprintf("soaked %s", p.Held), text("in %s", p.Oven), fmt.Sprintf("oven set to %s", p.Set),
			given("metal %s", p.Metal), text("rag %s", p.Rag), hungOn(p.Rack))
	case *journal.BakeStart:
		return words.Clauses("into the oven"+text(" %s", p.Oven)+fmt.Sprintf(" set to %s", p.Set), given("load %s", p.Load), hungOn(p.Rack), probes(p.Probes))
	case *journal.ProbeTrace:
		return trace(p)
	case *journal.Cure:
		return words.Clauses(fmt.Sprintf("out of the oven after %s by %s", p.Held, p.By), given("metal %s", p.Metal))
	case *journal.Cooling:
		return words.Clauses("cooled"+given(" to %s", p.To), p.How, hungOn(p.Rack))
	}
	return ""
}

func probes(list []journal.Probe) string {
	var said []string
	for _, p := range list {
		said = append(said, fmt.Sprintf("probe %s: %s", p.Channel, p.Place))
	}
	return words.Clauses(said...)
}

// trace writes how long the probes were read and their last values; the whole
// trace is in the data.
func trace(p *journal.ProbeTrace) string {
	said := []string{fmt.Sprintf("temperatures over %s s, %s", last(p.Seconds), words.Count(len(strings.Fields(string(p.Seconds))), "reading"))}
	for _, c := range p.Channels {
		said = append(said, fmt.Sprintf("channel %s ends at %s %s", c.Channel, last(c.Readings), p.Unit))
	}
	return words.Clauses(said...)
}

func last(s journal.Series) string { return string(s[strings.LastIndexByte(string(s), ' ')+1:]) }
