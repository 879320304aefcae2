package parts

import (
	"cmp"
	"math"
	"strconv"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Value is what stands in one column of a row. The zero value is absent.
type Value struct {
	kind   Kind
	number float64 // of numbers; 1 or 0 of yes and no; days since 1970
	word   string
}

// Num is a number. One that is not finite is absent.
func Num(v float64) Value {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Value{}
	}
	return Value{kind: Number, number: v}
}

// Text is a word. An empty one is absent.
func Text[T ~string](word T) Value {
	if word == "" {
		return Value{}
	}
	return Value{kind: Word, word: string(word)}
}

// Yes is an answer.
func Yes(so bool) Value {
	v := Value{kind: YesNo}
	if so {
		v.number = 1
	}
	return v
}

// On is the day of a moment, where its clock was.
func On(t time.Time) Value {
	if t.IsZero() {
		return Value{}
	}
	y, m, d := t.Date()
	return Value{kind: Day, number: float64(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / secondsPerDay)}
}

const secondsPerDay = 24 * 60 * 60

// Known reports whether somebody wrote it down.
func (v Value) Known() bool { return v.kind != "" }

// Is reports whether the value is a yes.
func (v Value) Is() bool { return v.kind == YesNo && v.number == 1 }

// Number returns a number, the days since 1970 of a day, or 1 and 0 of an
// answer; NaN of a word and of what is absent.
func (v Value) Number() float64 {
	if v.kind == Word || !v.Known() {
		return math.NaN()
	}
	return v.number
}

// String returns the value as it stands in the CSV form; "" if it is absent.
func (v Value) String() string {
	switch v.kind {
	case Word:
		return v.word
	case YesNo:
		if v.number == 1 {
			return "yes"
		}
		return "no"
	case Day:
		return dayOf(v.number).Format(time.DateOnly)
	case Number:
		return strconv.FormatFloat(v.number, 'f', -1, 64)
	}
	return ""
}

// Written is the value as people read it: numbers and days in a way of writing, words as
// they are.
func (v Value) Written(in words.Writing) string {
	switch v.kind {
	case Day:
		return in.Day(dayOf(v.number))
	case Number:
		return in.Number(v.String())
	}
	return v.String()
}

func dayOf(days float64) time.Time { return time.Unix(int64(days)*secondsPerDay, 0).UTC() }

// compare orders values of one column; what is absent comes first.
func (v Value) compare(o Value) int {
	if v.kind == "" || o.kind == "" {
		return cmp.Compare(len(v.kind), len(o.kind))
	}
	return cmp.Or(cmp.Compare(v.number, o.number), cmp.Compare(v.word, o.word))
}

// Row is one coat of one part.
type Row struct{ values map[Name]Value }

// usualColumns is about how many columns of a row are filled.
const usualColumns = 64

// NewRow returns a row of a part's coat. Coats count from 1.
func NewRow(part journal.Subject, coat int) Row {
	r := Row{make(map[Name]Value, usualColumns)}
	r.Put(Part, Text(part))
	r.Put(Job, Text(part.Job()))
	r.Put(Coat, Num(float64(coat)))
	return r
}

// Put sets a column; an absent value leaves it absent.
func (r Row) Put(name Name, v Value) {
	if v.Known() {
		r.values[name] = v
	}
}

// Get returns what stands in a column.
func (r Row) Get(name Name) Value { return r.values[name] }

// Subject returns the part whose coat the row is.
func (r Row) Subject() journal.Subject { return journal.Subject(r.values[Part].word) }
