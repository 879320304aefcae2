package card

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"fettlebook/journal"
)

// checking is one look through a card that was read.
type checking struct {
	card   *Card
	places *places
	held   bool // it was published before, so a limit that fits no fact is told when it is asked for
	found  Mistakes
}

func (c *checking) add(path, format string, args ...any) {
	c.found = append(c.found, c.places.mistake(path, format, args...))
}

var (
	holdName    = regexp.MustCompile(`^[a-z][a-z0-9._-]*$`)
	small       = regexp.MustCompile(`^[a-z][a-z0-9_-]*$`)
	identifier  = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	placeholder = regexp.MustCompile(`\{[^}]*\}`)
)

func (c *checking) all() {
	card := c.card
	var name journal.RouteID
	if err := name.UnmarshalText([]byte(card.Name)); err != nil {
		c.add("name", "%s", err)
	}
	if card.Edition < 1 {
		c.add("edition", "the edition must be a whole number, 1 or more")
	}
	c.need("title", card.Title)
	c.limits()
	c.joints()
	c.presets()
	c.bleedOrder()
	c.pin()
	if len(card.Stages) == 0 {
		c.add("stages", "a card needs at least one stage")
	}
	names := make(map[string]bool)
	for i := range card.Stages {
		c.stage(i, names)
	}
	if len(c.found) == 0 { // what follows needs sound names
		c.loops()
		c.holds()
	}
	for i, p := range card.FollowUps {
		c.promise(fmt.Sprintf("follow_ups[%d]", i), p, names)
	}
}

// need demands a text.
func (c *checking) need(path, text string) {
	if strings.TrimSpace(text) == "" {
		c.add(path, "the field %s is missing here", path[strings.LastIndex(path, ".")+1:])
	}
}

func (c *checking) limits() {
	for name, l := range c.card.Limits {
		at := "limits." + name
		if !identifier.MatchString(name) {
			c.add(at, "the name of a limit must have small letters, digits and underscores only, since rules use it")
		}
		c.need(at+".source", l.Source)
	}
}

func (c *checking) joints() {
	owner := make(map[string]string)
	for _, name := range sortedKeys(c.card.Joints) {
		at, j := "joints."+name, c.card.Joints[name]
		if !identifier.MatchString(name) {
			c.add(at, "the name of a joint must have small letters, digits and underscores only, since rules use it")
		}
		if len(j.Names) == 0 {
			c.add(at, "say by which names entries call this joint")
		}
		if j.Bolts < 0 {
			c.add(at+".bolts", "a joint needs at least one bolt")
		}
		for i, n := range j.Names {
			if other, ok := owner[journal.Called(n)]; ok && other != name {
				c.add(fmt.Sprintf("%s.names[%d]", at, i), "the joint %s has this name already", other)
			}
			owner[journal.Called(n)] = name
		}
	}
}

func (c *checking) bleedOrder() {
	if err := journal.CheckBleedOrder(c.card.BleedOrder); err != nil {
		c.add("bleed_order", "%s", err)
	}
}

func (c *checking) pin() {
	confirmed := []journal.Duty{journal.SecondCheckDuty, journal.WaiveDuty, journal.ReleaseDuty}
	for i, duty := range c.card.PIN {
		at := fmt.Sprintf("pin[%d]", i)
		switch {
		case !slices.Contains(confirmed, duty):
			c.add(at, "a PIN can be asked for at: second check, waive, release")
		case slices.Contains(c.card.PIN[:i], duty):
			c.add(at, "this is named twice; leave one of them")
		}
	}
}

func (c *checking) stage(i int, names map[string]bool) {
	s, at := &c.card.Stages[i], fmt.Sprintf("stages[%d]", i)
	switch {
	case !small.MatchString(s.Name):
		c.add(at+".name", "the name of a stage must have small letters, digits, dashes and underscores only")
	case names[s.Name]:
		c.add(at+".name", "two stages have this name; rename one")
	}
	names[s.Name] = true
	c.need(at+".title", s.Title)
	if !slices.Contains(levels(), s.Level) {
		c.add(at+".level", "the level must be one of: vehicle, corner, part")
	}
	if len(s.Parts) > 0 && s.Level != OnPart {
		c.add(at+".parts", "only a stage of the level part can name parts")
	}
	c.kinds(at+".wants", s.Level, s.Wants)
	c.kinds(at+".may", s.Level, s.May)
	for j, p := range s.Photos {
		on := fmt.Sprintf("%s.photos[%d]", at, j)
		c.need(on+".shows", p.Shows)
		if len(p.Shows) > journal.MaxName { // no photograph could be given that role
			c.add(on+".shows", "it is longer than %d characters; shorten it", journal.MaxName)
		}
		c.kind(on+".on", s.Level, p.On)
		c.wider(on+".for", s.Level, p.For)
	}
	for j := range s.Holds {
		on := fmt.Sprintf("%s.holds[%d]", at, j)
		c.hold(on, &s.Holds[j])
		c.wider(on+".for", s.Level, s.Holds[j].For)
	}
}

// wider demands that what several things of a stage share is wider than they.
func (c *checking) wider(path string, of, level Level) {
	if i := slices.Index(levels(), level); level != "" && (i < 0 || i >= slices.Index(levels(), of)) {
		c.add(path, "what is asked once for several must be wider than a %s; leave the field out, or name a wider level", of)
	}
}

func (c *checking) kinds(path string, level Level, kinds []journal.Kind) {
	for i, k := range kinds {
		c.kind(fmt.Sprintf("%s[%d]", path, i), level, k)
	}
}

// kind refuses kinds that do not exist or never stand on that level.
func (c *checking) kind(path string, level Level, k journal.Kind) {
	switch places := k.Places(); {
	case !k.Known():
		c.add(path, "there is no kind of entry of this name")
	case level == "" || len(places) == 0:
	case !slices.ContainsFunc(places, func(p string) bool { return reaches(p, level) }):
		c.add(path, "an entry of this kind is about a %s, never about a %s", strings.Join(places, " or a "), level)
	}
}

// reaches reports whether a subject of that form is the business of a level.
func reaches(place string, level Level) bool {
	switch level {
	case OnVehicle:
		return place == "job"
	case OnCorner:
		return place == "job/corner" || place == "job/corner/part"
	default:
		return place == "job/corner/part" || place == "run"
	}
}

func (c *checking) hold(at string, h *Hold) {
	if !holdName.MatchString(string(h.ID)) || len(h.ID) > journal.MaxName {
		c.add(at+".id", "the id of a hold must have at most %d small letters, digits, dots, dashes and underscores", journal.MaxName)
	}
	if !slices.Contains(classes(), h.Class) {
		c.add(at+".class", "the class must be one of: safety, quality")
	}
	for _, f := range [][2]string{{"title", h.Title}, {"rule", h.Rule}, {"reason", h.Reason}, {"limit", h.Limit}, {"source", h.Source}} {
		c.need(at+"."+f[0], f[1])
	}
	for _, braced := range placeholder.FindAllString(h.Limit, -1) {
		if _, ok := c.card.figure(braced); !ok {
			c.add(at+".limit", "the card has no limit %s", braced)
		}
	}
}

// holds checks that no two have one id, and compiles their rules.
func (c *checking) holds() {
	seen := make(map[journal.HoldID]bool)
	languages := make(map[Level]*language)
	for i := range c.card.Stages {
		s := &c.card.Stages[i]
		if languages[s.Level] == nil {
			l, err := newLanguage(c.card, s.Level)
			if err != nil {
				c.add("", "%s", err)
				return
			}
			languages[s.Level] = l
		}
		s.when = c.compile(languages[s.Level], fmt.Sprintf("stages[%d].when", i), s.When)
		for j := range s.Photos {
			p := &s.Photos[j]
			p.when = c.compile(languages[s.Level], fmt.Sprintf("stages[%d].photos[%d].when", i, j), p.When)
		}
		for j := range s.Holds {
			h, at := &s.Holds[j], fmt.Sprintf("stages[%d].holds[%d]", i, j)
			if seen[h.ID] {
				c.add(at+".id", "two holds have this id; rename one")
			}
			seen[h.ID] = true
			h.rule = c.compile(languages[s.Level], at+".rule", h.Rule)
			h.once = c.compile(languages[s.Level], at+".once", h.Once)
			h.when = c.compile(languages[s.Level], at+".when", h.When)
		}
	}
}

func (c *checking) promise(at string, p Promise, names map[string]bool) {
	switch {
	case !small.MatchString(p.Name):
		c.add(at+".name", "the name of a follow-up must have small letters, digits, dashes and underscores only")
	case names["promise "+p.Name]:
		c.add(at+".name", "two follow-ups have this name; rename one")
	}
	names["promise "+p.Name] = true
	c.need(at+".title", p.Title)
	c.need(at+".source", p.Source)
	if p.Hours < 1 {
		c.add(at+".hours", "say after how many hours the follow-up is due")
	}
	if p.KilometresFrom < 0 || p.KilometresTo < p.KilometresFrom {
		c.add(at+".kilometres_to", "the distance must end after it begins")
	}
	if len(p.Kept) == 0 {
		c.add(at, "say which kinds of entry fulfil the follow-up")
	}
	c.kinds(at+".kept", "", p.Kept)
}

// loops refuses stages that wait for themselves, and for what is not there.
func (c *checking) loops() {
	index := make(map[string]int)
	for i, s := range c.card.Stages {
		index[s.Name] = i
	}
	const (
		walking = 1
		walked  = 2
	)
	state := make([]int, len(c.card.Stages))
	var walk func(i int, trail []string)
	walk = func(i int, trail []string) {
		state[i] = walking
		trail = append(trail, c.card.Stages[i].Name)
		for n, name := range c.card.Before(i) {
			path := fmt.Sprintf("stages[%d].after[%d]", i, n)
			j, ok := index[name]
			switch {
			case !ok:
				c.add(path, "there is no stage of this name")
			case state[j] == walking:
				from := slices.Index(trail, name)
				c.add(path, "these stages wait for one another: %s; take one of them out of the field after", strings.Join(append(trail[from:len(trail):len(trail)], name), " after "))
			case state[j] == 0:
				walk(j, trail)
			}
		}
		state[i] = walked
	}
	for i := range c.card.Stages {
		if state[i] == 0 {
			walk(i, nil)
		}
	}
}

// shape says in words what a field of a type is in YAML.
func shape(t reflect.Type) string {
	if t == nil {
		return "what belongs here"
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.Int, reflect.Float64:
		return "a number"
	case reflect.Slice:
		return "a list"
	case reflect.Struct, reflect.Map:
		return "a thing with fields of its own"
	default:
		return "a text"
	}
}
