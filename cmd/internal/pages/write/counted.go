package write

import (
	"fmt"
	"maps"
	"strconv"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// all is the answer how many things were counted that the form names, all together.
type all struct {
	Name, ID, Text string
	Each           bool // they are counted by name
	Plugs          bool // as many as the plugs that are counted beside them
}

// allName is the field of that answer, behind the name of the field that names them.
const allName = ".all"

// countAll gives the fields that name what the part has the one count of all.
func (t *task) countAll(v *sheetView, typed form.Values, p form.Problems) {
	for i := range v.Fields {
		f := &v.Fields[i]
		if len(t.names[f.Name]) == 0 {
			continue
		}
		f.All = &all{Name: f.Name + allName, ID: f.ID + "-all", Text: typed.Get(f.Name + allName), Each: p[f.Name] != "", Plugs: t.kind == journal.BoreUnmasked}
		for n := range f.Lines {
			f.All.Each = f.All.Each || typed.Get(countOf(f.Name, n)) != ""
		}
	}
}

func countOf(field string, row int) string { return fmt.Sprintf("%s.%d.count", field, row) }

// confirmed takes the count of all for that of each, where as many were counted as
// the part was stated to have. Another number has to be counted by name.
func (t *task) confirmed(v form.Values) (form.Values, form.Problems) {
	wrong := form.Problems{}
	for field, items := range t.names {
		typed := v.Get(field + allName)
		if t.kind == journal.BoreUnmasked && t.unplugged(v, field, items) {
			typed = v.Get(plugsName)
		}
		if typed == "" {
			continue
		}
		counted, ok := unit.Whole(typed)
		if !ok {
			wrong[field] = "“" + typed + "” is not a whole number. Use digits."
			continue
		}
		sum, each, named, unread := 0, 0, false, false
		for i, item := range items {
			text := v.Get(countOf(field, i))
			n, ok := unit.Whole(text)
			sum, each, named, unread = sum+item.Count, each+n, named || text != "", unread || text != "" && !ok
		}
		switch {
		case unread: // which its own field says
		case named && each != counted:
			wrong[field] = fmt.Sprintf("By name they are %d, and all together %d were counted. Count again.", each, counted)
		case named:
		case !t.unchanged(v, field, items):
			wrong[field] = "Rows were changed, so count each by name."
		case sum != counted:
			wrong[field] = fmt.Sprintf("You counted %d. That is not what the part was stated to have, so count each by name.", counted)
		default:
			v = maps.Clone(v)
			for i, item := range items {
				v[countOf(field, i)] = []string{strconv.Itoa(item.Count)}
			}
		}
	}
	return v, wrong
}

// plugsName is the field of the plugs that came out.
const plugsName = "plugs"

// unplugged reports whether as many plugs came out as there are places for them, of which
// none was counted by itself.
func (t *task) unplugged(v form.Values, field string, items []journal.Item) bool {
	sum := 0
	for i, item := range items {
		if sum += item.Count; v.Get(countOf(field, i)) != "" {
			return false
		}
	}
	return t.unchanged(v, field, items) && v.Get(plugsName) == strconv.Itoa(sum)
}

// unchanged reports whether the rows still name what the part has.
func (t *task) unchanged(v form.Values, field string, items []journal.Item) bool {
	for i, item := range items {
		if v.Get(fmt.Sprintf("%s.%d.what", field, i)) != item.What {
			return false
		}
	}
	return v.Get(fmt.Sprintf("%s.%d.what", field, len(items))) == ""
}

// places lays the usual places of a film out, each with its readings to come.
func (t *task) places() {
	f := t.sheet.Field("spots")
	if t.kind != journal.FilmMeasured || f == nil {
		return
	}
	if t.start == nil {
		t.start = form.Values{}
	}
	for i, place := range f.Cells[0].Usual {
		t.start[fmt.Sprintf("spots.%d.place", i)] = []string{place}
	}
}

// measured leaves out the places that were only laid out.
func (t *task) measured(v form.Values) form.Values {
	if t.kind != journal.FilmMeasured {
		return v
	}
	v = maps.Clone(v)
	for i := range form.MaxRows {
		row := fmt.Sprintf("spots.%d.", i)
		if place := row + "place"; v.Get(row+"readings") == "" && v.Get(place) == form.Values(t.start).Get(place) {
			delete(v, place)
		}
	}
	return v
}

// called offers what tags and bags are called.
func (t *task) called() {
	offer := func(field, text string) {
		if t.start == nil {
			t.start = form.Values{}
		}
		if t.start.Get(field) == "" {
			t.start[field] = []string{text}
		}
	}
	switch corner := string(t.subject.Corner()); {
	case t.kind == journal.PartTagged && t.subject.Part() != "":
		offer("tag", corner+"-"+string(t.subject.Part()))
	case t.kind == journal.HardwareBagged && corner != "":
		offer("bag", corner)
	}
}
