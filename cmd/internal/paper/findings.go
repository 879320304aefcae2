package paper

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// findings are what shows that the work was done, in a line each.
func (t *told) findings() Pairs {
	var list Pairs
	row := func(name string, says ...string) {
		if text := words.Clauses(says...); text != "" {
			list = append(list, Pair{name, say(words.Sentence(text))})
		}
	}
	if t.facts == nil {
		return Pairs{{"Not known", say("The route card of this job is not on this machine, so nothing can be said of what the entries amount to.")}}
	}
	row("Bled", append(t.atCorners("corner.bleed", facts.Bled), t.vehicleSays("vehicle.fluid", facts.Fluid)...)...)
	row("Checked", t.entries("vehicle.leak", "vehicle.pedal", "vehicle.parking_brake_set", "vehicle.parking_brake_hold", "vehicle.road")...)
	row("Looked at again", t.vehicleSays("vehicle.second", facts.SecondLook, facts.OwnLook)...)
	row("Colour", t.approved()...)
	list = append(list, t.grouped("Bake", "part.cure", facts.Schedule)...)
	list = append(list, t.films()...)
	list = append(list, t.grouped("New", "part.rebuild", facts.NewParts)...)
	row("New washers", t.atCorners("corner.washers", facts.NewWashers)...)
	list = append(list, t.grouped("Found", "part.defects", facts.DefectFound)...)
	list = append(list, t.grouped("Found", "part.conditions")...)
	row("Told of it", t.damageTold()...)
	return list
}

// damageTold is when the customer was told of damage, and what the answer was.
func (t *told) damageTold() (says []string) {
	for _, e := range t.facts.Events() {
		var is *journal.Telling
		switch d := e.Data.(type) {
		case *journal.Condition:
			is = d.Told
		case *journal.ConditionRuling:
			is = d.Told
		}
		if is == nil {
			continue
		}
		on := t.day(e.Line.Clocks.Device)
		if !is.On.IsZero() {
			on = is.On.Said(t.writing())
		}
		says = append(says, t.thing(e.Line.Subject)+": "+words.Choose(is.How == journal.InPerson, "in person", "by "+string(is.How))+" on "+on+words.Fill("; the answer was “%s”", is.Answer))
	}
	return says
}

// baked reports whether something is said of a schedule.
func (t *told) baked() bool {
	return slices.ContainsFunc(t.parts(), func(p *facts.Site) bool { return len(p.Stated("part.cure", facts.Schedule)) > 0 })
}

// atCorners says the same quantity of each corner.
func (t *told) atCorners(path string, of facts.Quantity) (says []string) {
	var list []same
	for _, c := range t.corners() {
		for _, s := range c.Stated(path, of) {
			list = gather(list, s.Say(), c.Subject)
		}
	}
	for _, one := range list {
		says = append(says, t.things(one.of)+": "+one.says)
	}
	return says
}

// vehicleSays says what is stated of the whole vehicle.
func (t *told) vehicleSays(path string, of ...facts.Quantity) (says []string) {
	for _, s := range t.facts.Vehicle.Stated(path, of...) {
		if text := s.Say(); !slices.Contains(says, text) {
			says = append(says, text)
		}
	}
	return says
}

// entries are the checks of the whole vehicle, in the words of their entries.
func (t *told) entries(paths ...string) (says []string) {
	for _, path := range paths {
		for _, s := range t.facts.Vehicle.Stated(path) {
			l := t.line(s)
			if l == nil || l.Effect() == nil {
				continue
			}
			if text := journal.Told(l.Effect(), t.writing()).Say(); !slices.Contains(says, text) {
				says = append(says, text)
			}
		}
	}
	return says
}

// approved is the colour that the customer held.
func (t *told) approved() (says []string) {
	for _, e := range t.facts.Events() {
		if e.Data.Kind() == journal.ColourApproved {
			says = []string{journal.Told(e.Data, t.writing()).Say()} // the last one holds
		}
	}
	return says
}

// grouped says what is stated of parts: what is the same of several once. What
// is not as asked comes first.
func (t *told) grouped(name, path string, of ...facts.Quantity) (list Pairs) {
	var wrong, right []same
	for _, p := range t.parts() {
		var says []string
		bad := false
		for _, s := range p.Stated(path, of...) {
			if s.Quantity == facts.DefectFound && s.Of == "" || s.Quantity == facts.NewParts && s.Of == "" {
				continue // nothing of the kind was written down
			}
			says = append(says, words.Choose(s.Quantity == facts.NewParts, s.Value+" × "+s.Of, s.Say()))
			bad = bad || s.Met == facts.No || s.Met == facts.NotKnown
		}
		switch text := words.Clauses(says...); {
		case text == "":
		case bad:
			wrong = gather(wrong, text, p.Subject)
		default:
			right = gather(right, text, p.Subject)
		}
	}
	for i, one := range append(wrong, right...) {
		text := say(words.Sentence(t.things(one.of) + ": " + one.says))
		if i < len(wrong) {
			text[0].Face = Bold
		}
		list = append(list, Pair{words.If(i == 0, name), text})
	}
	return list
}

// films are the films of the parts: those that pass by the same limits in one row, each
// other one in its own words.
func (t *told) films() Pairs {
	type film struct{ spots, limit, source string }
	var asked []film
	means := make(map[film][]string)
	for _, p := range t.parts() {
		for _, s := range p.Stated("part.film", facts.FilmMean) {
			if s.Met != facts.Yes {
				continue
			}
			f := film{s.Has("spots"), s.Told().Limit.String(), s.Source}
			if means[f] == nil {
				asked = append(asked, f)
			}
			means[f] = append(means[f], t.thing(p.Subject)+" "+s.Told().Figure())
		}
	}
	list := t.grouped("Film", "part.film", facts.FilmMean)
	list = slices.DeleteFunc(list, func(one Pair) bool { return one.Text[0].Face != Bold })
	for _, f := range asked {
		list = append(list, Pair{words.If(len(list) == 0, "Film"), say(words.Sentence(words.Clauses("Mean thickness, measured at "+f.spots+" spots of each part: "+words.And(means[f]...),
			"specified is "+f.limit+words.Fill(" (%s)", f.source))))})
	}
	return list
}

// amiss is what the vehicle was handed back with, and what came to light since.
func (t *told) amiss() (list List) {
	for _, text := range t.HandedBack().Says() {
		list = append(list, say(words.Sentence(text)))
	}
	for _, v := range t.Verdicts.List {
		if v.State == route.Waived {
			text := words.Capital(t.thing(v.Thing())) + ", “" + v.Title + "”: "
			if v.Waiver != nil {
				text += "waived by " + t.who(v.Waiver.By) + ", because "
				text += v.Waiver.Reason
			}
			list = append(list, say(words.Sentence(text)))
		}
	}
	var later []same // what was not met at the handover is said above
	for _, i := range t.Ignorance() {
		if i.Later {
			later = gather(later, i.Say, i.Now.Thing())
		}
	}
	for _, one := range later {
		list = append(list, Text{{"Not met since the handover, " + t.things(one.of) + ": ", Bold}, {words.Sentence(one.says), Plain}})
	}
	return list
}
