package write

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
)

// sheetView is a form as the templates show it.
type sheetView struct {
	Title, Act, Problem string
	Fields, More        []field
	Open                bool // something stands in More
	Amiss               pages.Amiss
	Mark                string // behind the ids of this form among others
}

// field is a field with what its control looks like.
type field struct {
	form.FieldView
	Taps  bool     // its options are few enough to be tapped
	Run   bool     // it holds several readings, which nothing steps
	Boxes []string // for a reading each, where none has a unit of its own
	All   *all     // of things that are named, how many were counted all together
	Lines []fieldLine
	Alone bool // in its line: the legend says what it is
}

// leastBoxes are the readings of a spot.
const leastBoxes = 3

// boxes parts readings that are numbers alone, with room for one more.
func boxes(text string) []string {
	if strings.ContainsFunc(text, unicode.IsLetter) {
		return nil
	}
	list := strings.Fields(text)
	for len(list) < leastBoxes {
		list = append(list, "")
	}
	if list[len(list)-1] != "" {
		list = append(list, "")
	}
	return list
}

// fieldLine is one row of a list.
type fieldLine struct {
	Index, Number int // from 0, and as a person counts
	Cells         []field
}

// mostTaps is how many things of the shelf are laid out to be tapped; more
// are a list to choose from.
const mostTaps = 6

func viewOf(v form.View) *sheetView {
	s := &sheetView{Title: v.Title, Act: v.Act, Problem: v.Problem, Fields: fieldsOf(v.Fields), More: fieldsOf(v.More), Open: v.Open}
	for _, f := range slices.Concat(s.Fields, s.More) {
		if f.wrong() {
			s.Amiss = append(s.Amiss, pages.Field{ID: f.ID, Label: f.Label})
		}
	}
	return s
}

// first is the id of the field whose figure stands on the button, else of the
// first one.
func (v *sheetView) first() string {
	for _, f := range v.Fields {
		if f.Told {
			return f.ID
		}
	}
	if len(v.Fields) > 0 {
		return v.Fields[0].ID
	}
	return "main"
}

// wrong reports whether something of the field has to be put right.
func (f field) wrong() bool {
	return f.Problem != "" || slices.ContainsFunc(f.Lines, func(l fieldLine) bool { return slices.ContainsFunc(l.Cells, field.wrong) })
}

func fieldsOf(list []form.FieldView) []field {
	var out []field
	for _, f := range list {
		one := field{FieldView: f, Run: f.Control == form.Quantity && strings.HasSuffix(f.Name, ".readings"), Taps: (f.Control == form.Pick || f.Control == form.Refer) && len(f.Options) > 0 && len(f.Options) <= mostTaps}
		if one.Run {
			one.Boxes = boxes(f.Text)
		}
		for _, row := range f.Grid {
			cells := fieldsOf(row.Cells)
			for i := range cells {
				// The usual answers stand below all rows, and a row is no
				// place for big things to tap.
				cells[i].Usual, cells[i].Taps, cells[i].Alone = nil, false, len(cells) == 1
			}
			one.Lines = append(one.Lines, fieldLine{Index: row.Index, Number: row.Index + 1, Cells: cells})
		}
		out = append(out, one)
	}
	return out
}

// homeless says with the problems of the form those of fields that it does not
// show: none may stay unsaid.
func (v *sheetView) homeless(p form.Problems) {
	for _, name := range slices.Sorted(maps.Keys(p)) {
		shown := func(f field) bool { return f.Name == name && f.Control != form.Keep }
		if name != "" && name != partsName && !slices.ContainsFunc(v.Fields, shown) && !slices.ContainsFunc(v.More, shown) {
			v.Problem = strings.TrimSpace(v.Problem + " " + p[name])
		}
	}
}
