package form

import (
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// Known is what the shop and the job offer for fields.
type Known struct {
	Pick    map[string][]Option // by Field.Of
	Entries map[string][]Option // of Refer, by the field's name
}

// Option is one answer that can be tapped.
type Option struct {
	Value, Say string
	Note       string // "next check 2027-09-30", "past its date"
	Picture    string // path of one, "" for none
	On         bool
}

// View is a form as it is shown.
type View struct {
	Title, Act string
	Problem    string // of no field
	Fields     []FieldView
	More       []FieldView // rarely needed
	Open       bool        // something stands in More
}

// FieldView is a field as it is shown.
type FieldView struct {
	Field
	ID       string
	Text     string // as typed
	Unit     string // of Quantity: that is chosen
	Problem  string
	Day      string   // of Date: the day that stands in it, as the shop writes it
	Describe string   // the ids of what describes it, for a screen reader
	Options  []Option // of Choice, Several, Pick and Refer
	Grid     []RowView
}

// RowView is one row of a list or of rows.
type RowView struct {
	Index int
	Cells []FieldView
}

// View says how the form is shown.
func (s Sheet) View(v Values, p Problems, k Known) View {
	out := View{Title: s.Title, Act: s.Act, Problem: p[""]}
	for i := range s.Fields {
		f := s.Fields[i].view(s.Fields[i].Name, v, p, k)
		if !f.More {
			out.Fields = append(out.Fields, f)
			continue
		}
		out.More = append(out.More, f)
		out.Open = out.Open || f.Text != "" || f.Problem != "" || slices.ContainsFunc(f.Options, func(o Option) bool { return o.On })
	}
	return out
}

func (f *Field) view(name string, v Values, p Problems, k Known) FieldView {
	out := FieldView{Field: *f, ID: ID(name), Text: v.Get(name), Problem: p[name]}
	out.Name = name
	if f.Name == "readings" { // each in a box of its own
		out.Text = strings.TrimSpace(strings.Join(v[name], " "))
	}
	if out.Help != "" {
		out.Describe = out.ID + "-help"
	}
	if out.Problem != "" {
		out.Describe = strings.TrimSpace(out.Describe + " " + out.ID + "-wrong")
	}
	switch f.Control {
	case Date:
		out.Day = journal.Date(out.Text).Weekday(f.writing)
		out.Describe = strings.TrimSpace(out.Describe + " " + out.ID + "-day")
	case Quantity:
		out.Usual = slices.Clone(f.Usual)
		for i := range out.Usual {
			out.Usual[i] = f.shown(out.Usual[i])
		}
		out.Unit, out.Units = f.unit(out.Text, v.Get(name+".unit"))
	case Choice, Several:
		for _, word := range f.Words {
			o := Option{Value: word, Say: word, On: slices.Contains(v[name], word)}
			if f.Drawn != nil {
				o.Picture, o.Note = f.Drawn(word), f.Tells(word)
			}
			out.Options = append(out.Options, o)
		}
	case YesNo:
		out.Options = []Option{{Value: "yes", Say: f.Yes, On: out.Text == "yes"}, {Value: "no", Say: f.No, On: out.Text == "no"}}
	case Tick:
		out.Options = []Option{{Value: "yes", Say: f.Yes, On: ticked(out.Text)}}
	case Pick:
		out.Options = chosen(k.Pick[f.Of], out.Text, "not on the shelf here")
	case Refer:
		out.Options = chosen(k.Entries[f.Name], out.Text, "not in this journal yet")
	case List, Rows:
		out.Grid = f.grid(v, p, k)
	}
	return out
}

// unit is the unit that is shown as chosen, and those that are offered: the one
// that was typed with the number goes before the one that was chosen beside it.
// It keeps its spelling, and takes the place of the usual one.
func (f *Field) unit(typed, beside string) (shown string, offered []string) {
	_, own := unit.Split(typed)
	for _, spelled := range []string{own, beside} {
		for i, usual := range f.Units {
			if spelled == usual || unit.Alike(spelled, usual) {
				offered = slices.Clone(f.Units)
				offered[i] = spelled
				return spelled, offered
			}
		}
	}
	return f.Units[0], f.Units
}

// chosen marks the option that was chosen. What was typed and is not offered
// is offered too, with a word on why: it may not be here yet.
func chosen(offered []Option, typed, why string) []Option {
	var list []Option
	found := typed == ""
	for _, o := range offered {
		o.On = o.Value == typed
		found = found || o.On
		list = append(list, o)
	}
	if !found {
		list = append(list, Option{Value: typed, Say: typed, Note: why, On: true})
	}
	return list
}

// grid is the rows of a field, at least an empty one.
func (f *Field) grid(v Values, p Problems, k Known) []RowView {
	var rows []RowView
	for i := range max(1, v.rows(f.Name)) {
		r := RowView{Index: i}
		for j := range f.Cells {
			c := f.Cells[j].view(f.cell(i, j), v, p, k)
			if c.Label = f.Cells[j].Label; i > 0 {
				c.Label += " " + strconv.Itoa(i+1)
			}
			r.Cells = append(r.Cells, c)
		}
		rows = append(rows, r)
	}
	return rows
}

// Days are the fields of days, with what stands in them.
func (s Sheet) Days(v Values) (list []FieldView) {
	for i := range s.Fields {
		if s.Fields[i].Control == Date {
			list = append(list, s.Fields[i].view(s.Fields[i].Name, v, nil, Known{}))
		}
	}
	return list
}

// Chosen reports whether a unit is the one that is chosen.
func (f FieldView) Chosen(unit string) bool { return f.Unit == unit }

// Does says what the button that writes the entry does by what is typed: "Stamp
// 22 N·m", or what the sheet says where no figure stands for the entry.
func (s Sheet) Does(v Values) string {
	for i := range s.Fields {
		f := &s.Fields[i]
		typed := v.Get(f.Name)
		if !f.Told || typed == "" {
			continue
		}
		number, own := unit.Split(typed)
		if own == "" {
			own, _ = f.unit(typed, v.Get(f.Name+".unit"))
		}
		return "Stamp " + number + " " + f.spelled(own)
	}
	return s.Act
}

// spelled is the usual spelling of a unit of the field.
func (f *Field) spelled(typed string) string {
	for _, usual := range f.Units {
		if unit.Alike(typed, usual) {
			return usual
		}
	}
	return typed
}
