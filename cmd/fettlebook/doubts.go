package main

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
)

// stated collects the names of things that the register states, those left
// out that were only used yet.
func stated[ID ~string, P any](list []*record.Registered[ID, P]) map[string]bool {
	names := map[string]bool{}
	for _, r := range list {
		if r.Stated != nil {
			names[string(r.ID)] = true
		}
	}
	return names
}

// doubts says which names of an entry the shop's register does not know: a
// slip of the finger, or something that is still to be entered at the hub.
// An empty register knows nothing and says nothing.
func (c *entryWriter) doubts(e *ready) []string {
	var list []string
	shop := c.shelf.view.Shop
	people := map[journal.PersonID]bool{}
	for _, p := range shop.People {
		if p.Stated != nil {
			people[p.ID] = true
		}
	}
	if kind := e.Data.Kind(); len(people) > 0 && !people[e.By] && kind != journal.PersonAdded {
		list = append(list, fmt.Sprintf("no person %s is in the shop's register", e.By))
	}
	if word := e.Subject.Word(); word == "tool" || word == "lot" || word == "fluid" || word == "spec" {
		return list // this entry is about the register itself
	}
	tools := stated(shop.Tools)
	known := map[string]map[string]bool{"tool": tools, "gauge": tools, "oven": tools,
		"lot": stated(shop.Lots), "fluid": stated(shop.Fluids), "spec": stated(shop.Specs)}
	for _, field := range []string{"tool", "gauge", "oven", "lot", "fluid", "spec"} {
		var name string
		if json.Unmarshal(e.data[field], &name) != nil || name == "" {
			continue
		}
		if names := known[field]; len(names) > 0 && !names[name] {
			list = append(list, fmt.Sprintf("no %s %s is in the shop's register", field, name))
		}
	}
	return list
}
