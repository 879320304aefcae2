// Package form is every entry that people write, as a form made for gloved
// hands: which fields it has, what they are called, which answers are usual,
// and how what was typed becomes an entry's data. It knows no HTTP and no HTML.
//
// What a form posts are [Values]: names are paths in the data. A quantity
// posts its number under the field's name and its unit under NAME.unit, unless
// the unit was typed with the number. A list posts NAME.0, NAME.1 …, a list of
// things NAME.0.what, NAME.0.count ….
//
//	sheet, err := form.Of(journal.TorqueApplied)
//	data, problems := sheet.Data(form.Values{"joint": {"banjo bolt"}, "torque": {"27"}, "torque.unit": {"N·m"}, "tool": {"tw-1"}})
//	// {"joint":"banjo bolt","tool":"tw-1","torque":"27 N·m"}
package form

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Control is how a field is answered.
type Control string

// The controls.
const (
	Quantity Control = "quantity" // a number with + and − and a unit
	Count    Control = "count"    // a whole number with + and −
	Choice   Control = "choice"   // one of the payload's words
	Several  Control = "several"  // any of the payload's words
	YesNo    Control = "yesno"    // must be answered
	Tick     Control = "tick"     // yes, or nothing is said
	Pick     Control = "pick"     // a thing of the register
	Refer    Control = "entry"    // an earlier entry
	Text     Control = "text"
	Long     Control = "long"
	Date     Control = "date"
	List     Control = "list" // several short texts
	Rows     Control = "rows" // several things with fields of their own
	Keep     Control = "keep" // not for hands: it stays as it is
)

// Field is one thing to be filled in.
type Field struct {
	Name    string // path in the data: "torque", "adapter.wrench"
	Label   string
	Help    string
	Control Control

	Units []string // the first is chosen
	Step  float64  // one press on + or −, in the unit that is chosen
	Least float64  // + and − do not go below it

	thousands bool // it runs into thousands, and nobody writes thousandths of it

	Words []string // of Choice and Several
	// Drawn and Tells say of a word of Choice where its picture lies, and what
	// tells it apart; nil where there is none.
	Drawn, Tells func(word string) string
	Of           string   // what Pick offers, a key of [Known]
	Usual        []string // answers to tap
	first        first    // of Quantity: in which unit a shop is asked; nil if all are asked in one
	// usualIn makes the answers to tap in the units of a shop.
	usualIn func(unit.System) []string
	Cells   []Field // of Rows; of a List one without a name
	None    string  // what Refer says where there is nothing to choose
	Yes     string  // what YesNo and Tick say
	No      string

	Required bool
	More     bool // rarely needed
	Reused   bool // the answer of the last time is offered again
	Told     bool // of Quantity: its figure stands on the button that writes the entry

	writing words.Writing // of numbers that are shown, and may be typed
}

// Sheet is the form of one kind.
type Sheet struct {
	Kind   journal.Kind
	Title  string
	Act    string // on the button that writes the entry
	Fields []Field
	// Shows is what a photograph with an entry of the shop's register shows:
	// the paper or label that it is copied from. "" where there is none.
	Shows string
}

// NoForm says why a kind has no form.
type NoForm struct {
	Kind journal.Kind
	Why  string
}

func (e *NoForm) Error() string { return fmt.Sprintf("%s: %s", e.Kind, e.Why) }

// Of returns the form of a kind. The error is a *[NoForm].
func Of(kind journal.Kind) (Sheet, error) {
	if why := formless(kind); why != "" {
		return Sheet{}, &NoForm{kind, why}
	}
	for _, group := range []func() []Sheet{counterSheets, stripSheets, coatSheets, judgeSheets, fitSheets, roadSheets, shelfSheets, unitSheets, writingSheets, anySheets} {
		for _, s := range group() {
			if s.Kind == kind {
				if s.Act == "" {
					s.Act = "Stamp it"
				}
				stepping(kind, "", s.Fields)
				s.Fields = append(s.Fields, remark(kind))
				return s, nil
			}
		}
	}
	return Sheet{}, &NoForm{kind, "this was written by a newer fettlebook, which has the form for it"}
}

// remark is the last field of every form.
func remark(kind journal.Kind) Field {
	f := Field{Name: "note", Label: "Remark", Control: Long, More: true}
	if kind == journal.NoteMade {
		f.More, f.Required = false, true
	}
	return f
}

// formless says why nobody fills a form in for a kind, "" if people do.
func formless(kind journal.Kind) string {
	if kind.Hand() == journal.ByProgram || kind == journal.DeviceRevoked {
		return "the program itself writes this when it happens"
	}
	switch kind {
	case journal.RoutePublished:
		return "a route card is published on its own page"
	case journal.CardWritten, journal.CardErased:
		return "customers’ cards have pages of their own"
	case journal.ProbeLogged:
		return "temperatures come out of a recorder’s file"
	case journal.EntryCorrected:
		return "a correction is made at the entry that it strikes"
	}
	return ""
}

// Field returns the field of that name, or nil.
func (s Sheet) Field(name string) *Field {
	for i := range s.Fields {
		if s.Fields[i].Name == name {
			return &s.Fields[i]
		}
	}
	return nil
}

// Without returns the sheet without a field that has nothing to ask.
func (s Sheet) Without(name string) Sheet {
	s.Fields = slices.DeleteFunc(slices.Clone(s.Fields), func(f Field) bool { return f.Name == name })
	return s
}

// Values are what a form posted: see the package.
type Values map[string][]string

// Get returns the text of a name without the space around it.
func (v Values) Get(name string) string {
	if list := v[name]; len(list) > 0 {
		return strings.TrimSpace(list[0])
	}
	return ""
}

// with returns a copy in which a name has another text.
func (v Values) with(name, text string) Values {
	c := maps.Clone(v)
	if c == nil {
		c = Values{}
	}
	c[name] = []string{text}
	return c
}

// rows returns how many rows a field has: one more than the highest number
// that was posted.
func (v Values) rows(field string) int {
	n := 0
	for name := range v {
		rest, ok := strings.CutPrefix(name, field+".")
		if !ok {
			continue
		}
		number, _, _ := strings.Cut(rest, ".")
		if i, ok := row(number); ok {
			n = max(n, i+1)
		}
	}
	return n
}

// MaxRows is the most rows that a field is given by hand. mostRows is the most
// that are read: an entry that came from elsewhere may have more, and none of
// them may get lost when it is corrected.
const (
	MaxRows  = 64
	mostRows = 1000
)

// row reads the number of a row.
func row(text string) (int, bool) {
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 0 && n < mostRows && strconv.Itoa(n) == text
}

// Problems say of fields, by their names, in a sentence what is wrong and what
// to do. Under "" stands what belongs to no field.
type Problems map[string]string

// add keeps the first sentence about a field.
func (p Problems) add(name, sentence string) {
	if p[name] == "" {
		p[name] = sentence
	}
}

// Placed puts what a refusal says to the fields of the form that it is about.
func (s Sheet) Placed(err error) Problems {
	p := Problems{}
	s.place(err, p)
	return p
}
