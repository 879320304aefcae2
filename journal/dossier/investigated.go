package dossier

import (
	"slices"
	"strings"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/index"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// chooseInvestigations chooses what was looked into because of the complaint,
// wherever in the shop it stands: what names the complaint, a part of the jobs
// or what was used on them, and what goes on with that or came before it. It may
// have looked at many cars. Of those nothing comes along but what it says
// itself, which is counts; one that stands in the record of another car is left
// out whole.
func (b *build) chooseInvestigations() {
	if b.d.About.Claim.IsZero() {
		return
	}
	var all []*shop.Investigation
	for _, l := range b.view.Investigations() {
		if i := b.view.Investigation(l.ID); i != nil && i.Investigation != nil {
			all = append(all, i)
		}
	}
	for _, i := range b.concerning(all) {
		if job := i.Line.Subject.Job(); job != "" && !slices.Contains(b.d.About.Jobs, job) {
			b.leave("investigations", "they stand in the record of another car")
			continue
		}
		b.looked = append(b.looked, i.Line)
		b.take(i.Line, evidence.ForClaim)
		for _, later := range i.Later {
			if later.Kind == journal.RoutePublished {
				b.take(later, evidence.ForClaim)
			}
		}
	}
	slices.Reverse(b.looked) // they come with the newest first
}

// concerning picks those that concern the complaint.
func (b *build) concerning(all []*shop.Investigation) (list []*shop.Investigation) {
	own := b.concerns()
	chosen := make(map[journal.EntryID]bool)
	for _, i := range all {
		if own.named(i) {
			chosen[i.Line.ID] = true
		}
	}
	for more := true; more; { // and both ends of what goes on with it
		more = false
		for _, i := range all {
			if chosen[i.Line.ID] != chosen[i.Of] && !i.Of.IsZero() && slices.ContainsFunc(all, func(o *shop.Investigation) bool { return o.Line.ID == i.Of }) {
				chosen[i.Line.ID], chosen[i.Of], more = true, true, true
			}
		}
	}
	for _, i := range all {
		if chosen[i.Line.ID] {
			list = append(list, i)
		}
	}
	return list
}

// concerned is what the jobs of a complaint are about.
type concerned struct {
	entries map[journal.EntryID]bool
	things  map[journal.Subject]bool // lots and other things that were used, runs, parts, jobs
	words   map[parts.Name]map[string]bool
}

func (b *build) concerns() concerned {
	c := concerned{make(map[journal.EntryID]bool), make(map[journal.Subject]bool), make(map[parts.Name]map[string]bool)}
	for _, j := range b.jobs {
		for _, l := range j.Timeline() {
			c.entries[l.ID], c.things[l.Subject] = true, true
			if data := l.Effect(); data != nil {
				for _, u := range journal.Uses(data) {
					c.things[u.Of] = journal.OnShelf(u.Of.Word())
				}
			}
		}
	}
	table := b.view.Parts()
	for row := range table.Len() {
		if !slices.Contains(b.d.About.Jobs, journal.JobID(table.At(row, parts.Job).String())) {
			continue
		}
		for _, name := range naming() {
			if v := table.At(row, name); v.Known() {
				if c.words[name] == nil {
					c.words[name] = make(map[string]bool)
				}
				c.words[name][strings.ToLower(v.String())] = true
			}
		}
	}
	return c
}

// naming are the columns by which a condition names a part of the jobs, or what
// was used on it.
func naming() []parts.Name {
	return []parts.Name{parts.Part, parts.Job, parts.Casting, parts.Pattern, parts.PowderLot, parts.Bake}
}

// named reports whether an investigation names the complaint, a part or a thing
// that was used on it.
func (c concerned) named(i *shop.Investigation) bool {
	if c.things[i.Line.Subject] || slices.ContainsFunc(i.Investigation.Rests, func(id journal.EntryID) bool { return c.entries[id] }) {
		return true
	}
	f, err := parts.ParseFilter(i.Filter...)
	return err == nil && slices.ContainsFunc(f, func(is parts.Condition) bool {
		return is.Relation == parts.Is && c.words[is.Column.Name][strings.ToLower(is.Value.String())]
	})
}

// asInvestigation reports whether a line is an investigation, struck out or not.
func asInvestigation(l *record.Line) (list []*journal.Investigation) {
	for _, payload := range []journal.Payload{l.Payload, l.Effect()} {
		if i, ok := payload.(*journal.Investigation); ok {
			list = append(list, i)
		}
	}
	return list
}

// around reports whether an investigation looked at more than the jobs, so that
// its photographs may show anybody's car.
func (b *build) around(l *record.Line, i *journal.Investigation) bool {
	if !slices.Contains(b.d.About.Jobs, l.Subject.Job()) || len(i.Filter)+len(i.Counted) > 0 || i.Defect != "" || !i.Of.IsZero() {
		return true
	}
	return slices.ContainsFunc(i.Rests, func(id journal.EntryID) bool {
		return !slices.ContainsFunc(b.jobs, func(j *record.Job) bool {
			return slices.ContainsFunc(j.Timeline(), func(own *record.Line) bool { return own.ID == id })
		})
	})
}

// tellable lists the investigations of which papers may tell: all of what they
// say is here.
func (b *build) tellable() (list []journal.EntryID) {
	for _, l := range b.looked {
		if b.picked[l.Position()] == nil || l.Struck != nil && (l.Struck.Correction() == nil || b.picked[l.Struck.Correction().Position()] == nil) {
			continue
		}
		list = append(list, l.ID)
	}
	return list
}

// singles reports whether a text picks a single part of another car out of what
// was counted. What comes along only because of the complaint is about many cars,
// so its words must not name a casting of one either.
func (b *build) singles(p *pick, said string) bool {
	return b.ofOtherRow(said) || p.why == evidence.ForClaim && b.ofOtherPart(said)
}

// ofOtherRow reports whether a text is a condition on the parts table that names
// a single part, casting, job or entry of another car: what is counted by it is
// no count any more.
func (b *build) ofOtherRow(said string) bool {
	if !strings.ContainsAny(said, "=<>") {
		return false
	}
	f, err := parts.ParseFilter(said)
	if err != nil {
		return false
	}
	value := f[0].Value.String()
	switch f[0].Column.Name {
	case parts.Part:
		return !slices.Contains(b.d.About.Jobs, journal.Subject(value).Job())
	case parts.Job:
		return !slices.Contains(b.d.About.Jobs, journal.JobID(value))
	case parts.Casting:
		return !b.ownNumber(value)
	case parts.Entry:
		return true
	}
	return false
}

// ofOtherPart reports whether a text has the number of a casting that was only on
// other cars. Marks that are cast in are shared, and no number.
func (b *build) ofOtherPart(said string) bool {
	for _, w := range wordsOf(said) {
		text := said[w.from:w.to]
		if len(text) < telling || !strings.ContainsFunc(text, unicode.IsDigit) || b.ownNumber(text) {
			continue
		}
		for _, m := range b.view.Find(text, 1) {
			if m.Whole && m.By == index.Number {
				return true
			}
		}
	}
	return false
}

// ownNumber reports whether a number is that of a casting of the jobs.
func (b *build) ownNumber(text string) bool {
	for _, j := range b.jobs {
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				if p.Number != "" && squash(p.Number) == squash(text) || p.Mark != "" && squash(p.Mark) == squash(text) {
					return true
				}
			}
		}
	}
	return false
}
