package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Values is the other way round of Data: what would have to be typed for an
// entry's data, for a correction or for answers that are offered again.
func (s Sheet) Values(data jsontext.Value) Values {
	v := Values{}
	var d object
	if json.Unmarshal(data, &d) != nil {
		return v // what is not an object has nothing to fill in
	}
	for i := range s.Fields {
		f := &s.Fields[i]
		if value := get(d, f.Name); value != nil {
			f.write(v, f.Name, value)
		}
	}
	return v
}

func get(d object, path string) any {
	name, rest, deeper := strings.Cut(path, ".")
	if !deeper {
		return d[name]
	}
	within, _ := d[name].(object)
	return get(within, rest)
}

// write puts a JSON value into what would be typed.
func (f *Field) write(v Values, name string, value any) {
	switch x := value.(type) {
	case bool:
		if x {
			v[name] = []string{"yes"}
		} else if f.Control == YesNo {
			v[name] = []string{"no"}
		}
	case float64:
		v[name] = []string{strconv.FormatFloat(x, 'f', -1, 64)}
	case string:
		if f.Control != Quantity {
			v[name] = []string{x}
			return
		}
		f.writeQuantity(v, name, x)
	case []any:
		f.writeList(v, name, x)
	}
}

// writeQuantity parts a quantity into number and unit, if the unit is one that
// can be chosen, in any spelling, and the two give back just what was typed.
func (f *Field) writeQuantity(v Values, name, typed string) {
	if number, own, ok := f.parts(typed); ok {
		v[name], v[name+".unit"] = []string{f.shown(number)}, []string{own}
		return
	}
	v[name] = []string{f.shown(typed)}
}

// parts parts a quantity at the one space between number and unit.
func (f *Field) parts(typed string) (number, own string, ok bool) {
	number, own = unit.Split(typed)
	offered := slices.ContainsFunc(f.Units, func(usual string) bool { return own == usual || unit.Alike(own, usual) })
	return number, own, offered && typed == number+" "+own
}

func (f *Field) writeList(v Values, name string, list []any) {
	for i, one := range list {
		at := fmt.Sprintf("%s.%d", name, i)
		switch x := one.(type) {
		case string:
			switch f.Control {
			case Several:
				v[name] = append(v[name], x)
			default:
				v[at] = []string{x}
			}
		case object:
			for j := range f.Cells {
				c := &f.Cells[j]
				value := x[c.Name]
				if several, ok := value.([]any); ok {
					c.writeReadings(v, at+"."+c.Name, several)
				} else if value != nil {
					c.write(v, at+"."+c.Name, value)
				}
			}
		}
	}
}

// writeReadings joins readings into one text: "82 79 84" and their unit, or
// each with its own if they differ.
func (c *Field) writeReadings(v Values, name string, list []any) {
	var numbers, whole []string
	common, same := "", true
	for i, one := range list {
		typed, _ := one.(string)
		number, unit, ok := c.parts(typed)
		if i == 0 {
			common = unit
		}
		same = same && ok && unit == common
		numbers, whole = append(numbers, c.shown(number)), append(whole, c.shown(typed))
	}
	if same && len(list) > 0 {
		v[name], v[name+".unit"] = []string{strings.Join(numbers, " ")}, []string{common}
		return
	}
	v[name] = []string{strings.Join(whole, " ")}
}
