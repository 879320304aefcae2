package journal

import (
	"reflect"
	"slices"

	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

// thing is a name that stands for something an entry can cite.
type thing interface{ thing() Subject }

// thing returns what the name names as a subject, or "" where nobody asks
// what shares it.
func (n Name[N]) thing() Subject {
	var of N
	if word := of.word(); word != "" && n != "" {
		return Of(word, string(n))
	}
	return ""
}

func (id EntryID) thing() Subject {
	if id.IsZero() {
		return ""
	}
	return EntrySubject(id)
}

func (s Subject) thing() Subject { return s }

// EntrySubject names an entry as a thing that others cite: entry/<id>.
func EntrySubject(id EntryID) Subject { return Of("entry", id.String()) }

// PhotoSubject names a photograph as a thing that entries cite: photo/<hash>.
func PhotoSubject(ref media.Ref) Subject { return Of("photo", ref.Hex()) }

// Cites returns all that a payload cites, each once: things of the register,
// entries, runs, parts of a rack, photographs. It follows from the types of
// the fields, so no kind can forget one. Of a correction, what stands in its
// place is cited too.
func Cites(p Payload) []Subject {
	if p == nil { // of a newer kind, or bytes that are not an entry
		return nil
	}
	var list []Subject
	add := func(s Subject) {
		if s != "" && !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	gather(reflect.ValueOf(p).Elem(), add)
	return list
}

func gather(v reflect.Value, add func(Subject)) {
	switch {
	case v.Type() == reflect.TypeFor[jsontext.Value]():
		return
	case v.Type() == reflect.TypeFor[media.Ref]():
		add(PhotoSubject(*v.Addr().Interface().(*media.Ref)))
		return
	case v.Type() == reflect.TypeFor[Photo]():
		add(PhotoSubject(*v.Field(0).Addr().Interface().(*media.Ref))) // the original; its thumbnail is the same picture
		return
	case v.CanInterface():
		if t, ok := v.Addr().Interface().(thing); ok { // its address needs no copy
			add(t.thing())
			return
		}
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				gather(v.Field(i), add)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			gather(v.Index(i), add)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			gather(v.Elem(), add)
		}
	}
}

// CitedEntries returns the entries that a payload speaks of, each once: what it
// corrects, looked at, decides.
func CitedEntries(p Payload) []EntryID {
	var list []EntryID
	for _, s := range Cites(p) {
		if id, err := ParseEntryID(s.Last()); err == nil && s.Word() == "entry" {
			list = append(list, id)
		}
	}
	return list
}

// Answers returns the kind of entry that an entry of this kind answers, as the
// decision about a defect does; "" if it answers none, or may speak of any.
func (k Kind) Answers() Kind {
	if a, ok := k.Blank().(interface{ answers() Kind }); ok {
		return a.answers()
	}
	return ""
}

func (*Rework) answers() Kind        { return DefectFound }
func (*ClaimDecision) answers() Kind { return ClaimOpened }
func (*Job) answers() Kind           { return ClaimOpened }

// OnShelf reports whether subjects of a word are things that entries use: tools,
// lots, containers and kits, and figures of joints.
func OnShelf(word string) bool {
	switch word {
	case "tool", "lot", "fluid", "spec", "kit":
		return true
	}
	return false
}

// Use is something that an entry used up: a tool's cycles, a lot, a container.
type Use struct {
	Of    Subject
	Times int
}

// Uses returns what a payload uses of the shop's things, each with how often:
// a torque tool once for each bolt, everything else once. What it only
// registers or checks is not used by it, nor is the powder of a sample.
func Uses(p Payload) []Use {
	if _, sample := p.(*ColourApproval); sample {
		return nil
	}
	var list []Use
	for _, s := range Cites(p) {
		if !OnShelf(s.Word()) || p.Kind().registers() {
			continue
		}
		u := Use{Of: s, Times: 1}
		if c, ok := p.(interface{ cycles() (ToolID, int) }); ok {
			if tool, n := c.cycles(); tool.thing() == s {
				u.Times = n
			}
		}
		list = append(list, u)
	}
	return list
}

// registers reports whether entries of the kind speak of a thing of the
// register itself.
func (k Kind) registers() bool {
	places := k.Places()
	return len(places) == 1 && OnShelf(places[0])
}

func (t *Torque) cycles() (ToolID, int)   { return t.Tool, max(1, t.Count) }
func (w *WheelFit) cycles() (ToolID, int) { return w.Tool, w.Nuts }
func (b *Bleed) cycles() (ToolID, int)    { return b.Tool, max(1, b.Screws) }
