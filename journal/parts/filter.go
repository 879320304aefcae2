package parts

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal/words"
)

// Filter is conditions that all have to hold for a row. One that asks for a
// value is not met where that is absent.
type Filter []Condition

// Condition is what one column has to be.
type Condition struct {
	Column   Column
	Relation Relation
	Value    Value // absent: whether it was written down at all
}

// Relation is how a value stands to another.
type Relation string

// The relations of conditions.
const (
	Is      Relation = "="
	IsNot   Relation = "!="
	Less    Relation = "<"
	Greater Relation = ">"
	AtMost  Relation = "<="
	AtLeast Relation = ">="
)

// NotWritten asks for what nobody wrote down.
const NotWritten = "?"

// ParseFilter reads conditions such as "pattern=K17", "soak_minutes<30",
// "day>=2026-03" and "dew_margin_k=?", which asks for what was not written
// down.
func ParseFilter(conditions ...string) (Filter, error) {
	var f Filter
	for _, text := range conditions {
		c, err := parseCondition(text)
		if err != nil {
			return nil, err
		}
		f = append(f, c)
	}
	return f, nil
}

func parseCondition(text string) (Condition, error) {
	at := strings.IndexAny(text, "=!<>")
	if at < 0 {
		return Condition{}, fmt.Errorf("%s is not a condition; one looks like pattern=K17 or soak_minutes<30", words.Quoted(text))
	}
	name, rest := strings.TrimSpace(text[:at]), text[at:]
	columns := Columns()
	i := slices.IndexFunc(columns, func(c Column) bool { return string(c.Name) == name })
	if i < 0 {
		return Condition{}, fmt.Errorf("there is no column %s; the data dictionary lists those that there are", words.Quoted(name))
	}
	c := Condition{Column: columns[i]}
	for _, r := range []Relation{AtMost, AtLeast, IsNot, Is, Less, Greater} {
		if after, ok := strings.CutPrefix(rest, string(r)); ok {
			c.Relation, rest = r, strings.TrimSpace(after)
			break
		}
	}
	switch ordered := c.Relation != Is && c.Relation != IsNot; {
	case c.Relation == "":
		return Condition{}, fmt.Errorf("%s is not a condition; one looks like pattern=K17 or soak_minutes<30", words.Quoted(text))
	case rest == "":
		return Condition{}, fmt.Errorf("%s asks for nothing; ask for ? to find what was not written down", words.Quoted(text))
	case ordered && (c.Column.Kind == Word || c.Column.Kind == YesNo || rest == NotWritten):
		return Condition{}, fmt.Errorf("%s is not a number; ask with = or !=", name)
	case rest == NotWritten:
		return c, nil
	}
	if c.Column.Kind == Day {
		rest = firstDay(rest)
	}
	v, err := c.Column.value(rest)
	c.Value = v
	return c, err
}

// firstDay fills up a month or a year to its first day.
func firstDay(text string) string {
	for _, layout := range []string{"2006-01", "2006"} {
		if day, err := time.Parse(layout, text); err == nil {
			return day.Format(time.DateOnly)
		}
	}
	return text
}

// String returns the condition as it is written.
func (c Condition) String() string {
	value := NotWritten
	if c.Value.Known() {
		value = c.Value.String()
	}
	return string(c.Column.Name) + string(c.Relation) + value
}

func (c Condition) holds(v Value) bool {
	if !c.Value.Known() {
		return v.Known() != (c.Relation == Is)
	}
	if !v.Known() {
		return false
	}
	order := v.compare(c.Value)
	if c.Column.Kind == Word {
		order = strings.Compare(strings.ToLower(v.word), strings.ToLower(c.Value.word))
	}
	switch c.Relation {
	case Is:
		return order == 0
	case IsNot:
		return order != 0
	case Less:
		return order < 0
	case Greater:
		return order > 0
	case AtMost:
		return order <= 0
	default:
		return order >= 0
	}
}

// Only returns the rows for which it is so.
func (t *Table) Only(so func(row int) bool) *Table { return t.pick(t.where(so)) }

// Where returns the rows that a filter lets through.
func (t *Table) Where(f Filter) *Table {
	if len(f) == 0 {
		return t
	}
	return t.pick(t.where(func(i int) bool {
		for _, c := range f {
			if !c.holds(t.At(i, c.Column.Name)) {
				return false
			}
		}
		return true
	}))
}
