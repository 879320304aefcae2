package journal

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Span is between what a figure can lie at all, whoever reads it: beyond it
// the key was hit twice, or the unit is another one. Whether a figure is the
// right one is for hold points, and what really happened, however wrong it
// was, can always be written down.
//
// It is asked of what is being written and never of what was: an entry that
// an earlier program took stays readable.
type Span struct {
	Low, High string // with their unit, both included
	Why       string // a clause: what of the world ends there
}

// spans are the spans that fields name in their tag (span:"…"). They are
// common practice without a source, and wide on purpose.
var spans = map[string]Span{
	"torque":      {"0.1 N·m", "2000 N·m", "fingers give the one, and a person on a bar of 2 m the other"},
	"tool torque": {"0.01 N·m", "3000 N·m", "screwdrivers for instruments begin there, and wrenches for axles end there"},
	"tolerance":   {"0 N·m", "500 N·m", "a tolerance is a part of what a person can pull"},
	"share":       {"0 %", "100 %", "it is a share of a whole"},
	"level":       {"0 %", "200 %", "a reservoir ends below MIN, and has no more room above MAX than below it"},
	"turn":        {"0", strconv.Itoa(MostTurned), "bolts are turned on, and two whole turns break any"},
	"bend":        {"0", "180", "an offset end is straight on at 0° and folded back at 180°"},
	"lever":       {"1 mm", "3000 mm", "a wrench can be held and carried"},

	"oven":     {"0 °C", "400 °C", "an oven heats, and those for powder are not built for more"},
	"metal":    {"-40 °C", "600 °C", "no shop is colder, and aluminium melts a little above"},
	"air":      {"-40 °C", "60 °C", "people breathe it"},
	"schedule": {"60 °C", "300 °C", "powder does not melt below the one, and burns above the other"},
	"bake":     {"10 s", "24 h", "no powder flows faster, and no sheet asks for more than a day"},
	"held":     {"0 s", "168 h", "nobody keeps parts hot for more than a week"},
	"pressed":  {"1 s", "24 h", "pressure that nobody held shows nothing, and nobody holds it for more than a day"},
	"worked":   {"1 s", "336 h", "work takes time, and parts lie in a cleaner for two weeks at most"},
	"jet":      {"0 bar", "4000 bar", "it is pressure above that of the air, and water jets end there"},
	"charge":   {"-200 kV", "200 kV", "no gun has more of either sign"},
	"battery":  {"-60 V", "60 V", "vehicles have at most 48 V on board, whichever way the meter is held"},
	"earth":    {"0 Ω", "1000000 MΩ", "insulation testers show no more"},
	"load":     {"0.001 kg", "5000 kg", "it weighs something, and no more than the vehicle that it came off"},
	"powder":   {"0.001 kg", "2000 kg", "powder comes in anything from a bag of samples to a pallet"},
	"film":     {"0 µm", "5000 µm", "gauges of film end there"},
	"wanted":   {"1 µm", "5000 µm", "no film is thinner than a grain of its pigment, and gauges end at the other"},
	"damage":   {"0 mm", "10000 mm", "it is on a part or a line of one vehicle"},
	"defect":   {"0 mm", "2000 mm", "it is on a part that hangs in an oven"},

	"odometer": {"0 km", "10000000 km", "no car was ever driven so far"},
	"road":     {"0.001 km", "2000 km", "the vehicle was driven, and for less than a day"},
	"since":    {"0 km", "100000 km", "wheel nuts are tightened again long before that"},
	"warranty": {"1 km", "2000000 km", "a warranty is for some distance, and no car outlasts that one"},
	"months":   {"1", "1200", "a warranty is for some time, and no car outlasts a hundred years"},
	"filled":   {"0 mL", "50 L", "the brakes of one vehicle take less"},
	"scale":    {"1 mL", "10 L", "a reservoir has room between its marks, and hangs in a vehicle"},
	"bottle":   {"1 mL", "1000 L", "it holds something, and no more than a tank on a pallet"},

	"bolts":    {"1", "100", "a joint has a bolt, and none of a vehicle has more"},
	"nuts":     {"1", "20", "a wheel has a nut or bolt, and none has more"},
	"stands":   {"1", "20", "a vehicle on stands stands on one at least, and on no more"},
	"screws":   {"1", "20", "one was bled at least, and no corner has more"},
	"bleeders": {"0", "20", "no caliper has more"},
	"pieces":   {"1", "10000", "what is not there is left out, and nobody counts more by hand"},
	"plugs":    {"0", "1000", "no part has more openings"},
	"washers":  {"1", "100", "a joint has a washer, and none takes more"},
	"defects":  {"1", "100000", "a defect was found, and nobody counts more on one part"},
	"coats":    {"1", "50", "the first on the metal is 1, and no part carries more"},
	"rubs":     {"1", "10000", "it was rubbed, and nobody rubs longer"},
	"uses":     {"1", "10000000", "a tool is used before it is checked again, and none lasts longer"},
	"some":     {"0", "1000000000", "no shop coats more parts"},
	"parts":    {"1", "1000000000", "a share is of one part at least, and no shop coats more"},

	"edition": {"1", "1000000", "editions are counted from 1"},
	"offset":  {"-6500000000000", "6500000000000", "a clock that lost its date is off by less than two hundred years"},
	"trip":    {"0", "86400000", "no answer is waited for longer than a day"},
	"log":     {"0", strconv.FormatInt(MaxLog, 10), "no log is longer"},
	"sealed":  {"1", strconv.Itoa(MaxSealed), "a seal covers an entry, and no more than that"},
	"seconds": {"-604800", "604800", "a recorder runs for a week at most"},
	"reading": {"-10000", "10000", "recorders write a figure such as 9999 for a probe that is broken, and none beyond"},
}

// SpanOf returns the span of a number among the fields of a kind, by its path
// in the data without the places in lists: "spots.readings".
func SpanOf(kind Kind, path string) (Span, bool) {
	blank := kind.Blank()
	if blank == nil {
		return Span{}, false
	}
	t := reflect.TypeOf(blank).Elem()
	var tag string
	for name := range strings.SplitSeq(path, ".") {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct {
			return Span{}, false
		}
		i := slices.IndexFunc(reflect.VisibleFields(t), func(f reflect.StructField) bool {
			is, _ := member(f)
			return !f.Anonymous && is == name
		})
		if i < 0 {
			return Span{}, false
		}
		field := reflect.VisibleFields(t)[i]
		t, tag = field.Type, field.Tag.Get("span")
	}
	s, ok := spans[tag]
	return s, ok
}

// ParseTyped reads data of a kind that a person has just typed: what
// [ParsePayload] takes, and no figure outside its span. A count of zero may
// not stand where zero says as much as nothing.
func ParseTyped(kind Kind, data []byte) (Payload, error) {
	p := &problems{typed: true}
	return p.parse(Type{kind, kind.Version()}, data)
}

// spanned walks the fields that JSON shows, and tells of each figure that lies
// outside its span.
func spanned(p *problems, at string, v reflect.Value) {
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		name, required := member(field)
		switch {
		case !field.IsExported():
		case field.Anonymous:
			spanned(p, at, f)
		case silent(f.Type()) && f.IsZero() && !required, empty(f):
		default:
			inSpan(p, at+name, f, spans[field.Tag.Get("span")])
		}
	}
}

// inSpan holds a value, or each that lies in it, against its span.
func inSpan(p *problems, at string, f reflect.Value, s Span) {
	switch value := f.Interface().(type) {
	case quantity:
		side, limit, err := value.Beside(s.Low)
		if err == nil && side >= 0 {
			if side, limit, err = value.Beside(s.High); err == nil && side <= 0 {
				return
			}
		}
		if err != nil {
			p.add(at, OutOfBounds, "%s", err)
			return
		}
		s.refuse(p, at, value.String(), side, limit, "the number and its unit")
	case After: // one text, whose sizes were read within their limits
	case Series:
		s.numbers(p, at, string(value))
	case Readings:
		s.numbers(p, at, string(value))
	case int, int64:
		s.number(p, at, strconv.FormatInt(f.Int(), 10))
	default:
		switch f.Kind() {
		case reflect.Slice:
			for i := range f.Len() {
				inSpan(p, row(at, i), f.Index(i), s)
			}
		case reflect.Pointer:
			inSpan(p, at, f.Elem(), s)
		case reflect.Struct:
			spanned(p, at+".", f)
		}
	}
}

// numbers tells of the first number of a series that lies outside.
func (s Span) numbers(p *problems, at, series string) {
	for word := range strings.SplitSeq(series, " ") {
		if word != LostReading && !s.number(p, at, word) {
			return
		}
	}
}

// number tells of a number without a unit, and whether it lies inside.
func (s Span) number(p *problems, at, word string) bool {
	x, _ := unit.Decimal(word)
	low, _ := unit.Decimal(s.Low)
	high, _ := unit.Decimal(s.High)
	switch {
	case x < low:
		s.refuse(p, at, word, -1, s.Low, "the number")
	case x > high:
		s.refuse(p, at, word, 1, s.High, "the number")
	default:
		return true
	}
	return false
}

func (s Span) refuse(p *problems, at, is string, side int, limit, check string) {
	if slices.ContainsFunc(p.list, func(is Problem) bool { return is.Path == at }) {
		return // that nothing was given was said
	}
	end := "at most"
	if side < 0 {
		end = "at least"
	}
	p.add(at, OutOfBounds, "%s cannot be right: it must be %s %s, since %s. Check %s", is, end, limit, s.Why, check)
}

// zeros finds counts of zero where the field is left out if there are none:
// once decoded, what was typed would be gone. v is what data was decoded into.
func zeros(p *problems, at string, v reflect.Value, data jsontext.Value) {
	var given map[string]jsontext.Value
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		name, required := member(field)
		nested := f.Kind() == reflect.Pointer && !f.IsNil()
		if !nested && (required || f.Kind() == reflect.Bool || !silent(f.Type()) || !f.IsZero()) {
			continue
		}
		if given == nil && json.Unmarshal(data, &given) != nil {
			return // the decoder has said so
		}
		if value := given[name]; nested {
			zeros(p, at+name+".", f.Elem(), value)
		} else if value != nil {
			inSpan(p, at+name, f, spans[field.Tag.Get("span")])
		}
	}
}
