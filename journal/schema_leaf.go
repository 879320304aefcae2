package journal

import (
	"fmt"
	"reflect"
	"regexp"
	"strings"

	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/invopop/jsonschema"
)

// A scalar is a type of this package that is written as one JSON string.
type scalar interface{ schema() *jsonschema.Schema }

// A quantity is a number with its unit; see package journal/trade/unit.
type quantity interface {
	JSONSchemaHint() (example string, units []string, grouped bool)
	Beside(limit string) (side int, said string, err error)
	String() string
}

// leaf returns the schema of a type that is not a struct or list to look into.
func leaf(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[media.Ref]():
		return text("the SHA-256 of a photo’s bytes", hashPattern, media.RefOf([]byte("a photo")).String())
	case reflect.TypeFor[jsontext.Value]():
		return &jsonschema.Schema{Type: "object"}
	}
	switch zero := reflect.Zero(t).Interface().(type) {
	case scalar:
		return zero.schema()
	case quantity:
		return amount(zero)
	case interface{ Words() []string }:
		return oneOf(zero.Words())
	default:
		return nil
	}
}

const hashPattern = `^sha256:[0-9a-f]{64}$`

func text(description, pattern, example string) *jsonschema.Schema {
	return &jsonschema.Schema{Type: "string", Description: description, Pattern: pattern, Examples: []any{example}}
}

func amount(q quantity) *jsonschema.Schema {
	example, units, grouped := q.JSONSchemaHint()
	quoted := make([]string, len(units))
	for i, u := range units {
		quoted[i] = regexp.QuoteMeta(u)
	}
	const space = "[ \u00a0\u2009\u202f]"
	number := `[0-9]+(\.[0-9]+)?`
	if grouped {
		const first = `|[1-9][0-9]{0,2}`
		number = `(` + number + first + `(` + space + `[0-9]{3})+(\.[0-9]+)?` + first + `(,[0-9]{3}){2,}` + first + `(,[0-9]{3})+\.[0-9]+` + first + `(\.[0-9]{3}){2,})`
	}
	s := text("a number as typed and its unit, one of: "+strings.Join(units, ", "),
		`^[-+−]?`+number+space+`*(`+strings.Join(quoted, "|")+`)$`, example)
	s.MaxLength = most(40)
	s.Extras = map[string]any{"units": units}
	return s
}

func (Name[N]) schema() *jsonschema.Schema {
	var n N
	s := text("the name of a "+n.noun(), `^[A-Za-z0-9][A-Za-z0-9._-]*$`, "4f7kk2m9")
	s.MaxLength = most(MaxName)
	return s
}

func (Choice[L]) schema() *jsonschema.Schema {
	var l L
	return oneOf(l.words())
}

func oneOf(words []string) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "string"}
	for _, word := range words {
		s.Enum = append(s.Enum, word)
	}
	return s
}

func (Digest) schema() *jsonschema.Schema {
	return text("a SHA-256 that is not a photo’s", hashPattern, Digest{}.String())
}

func (EntryID) schema() *jsonschema.Schema {
	s := text("the id of an entry: a UUID of version 7",
		`^[0-9A-Fa-f]{8}-[0-9A-Fa-f]{4}-7[0-9A-Fa-f]{3}-[89ABab][0-9A-Fa-f]{3}-[0-9A-Fa-f]{12}$`, "0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d")
	s.Format = "uuid"
	return s
}

func (Stamp) schema() *jsonschema.Schema {
	s := text("a time with its zone offset", "", "2026-03-02T14:18:09.120+01:00")
	s.Format = "date-time"
	return s
}

func (Date) schema() *jsonschema.Schema {
	s := text("a calendar day", `^[0-9]{4}-[0-9]{2}-[0-9]{2}$`, "2026-03-02")
	s.Format = "date"
	return s
}

func (CameraTime) schema() *jsonschema.Schema {
	return text("a time as a camera wrote it, with or without a zone",
		`^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}([.,][0-9]+)?(Z|[+-][0-9]{2}:[0-9]{2})?$`, "2026-03-02T08:12:44")
}

func (Series) schema() *jsonschema.Schema {
	return text("decimal numbers, one space between", `^-?[0-9]+(\.[0-9]+)?( -?[0-9]+(\.[0-9]+)?)*$`, "21.5 22.0 24.5")
}

func (Readings) schema() *jsonschema.Schema {
	return text("decimal numbers, one space between; a dash for a reading that was lost", `^(-|-?[0-9]+(\.[0-9]+)?)( (-|-?[0-9]+(\.[0-9]+)?))*$`, "21.5 - 24.5")
}

func (Subject) schema() *jsonschema.Schema {
	const name = `[A-Za-z0-9][A-Za-z0-9._-]{0,39}`
	return text("what the entry is about: pairs of a word and a name",
		fmt.Sprintf(`^%[1]s/%[1]s(/%[1]s/%[1]s){0,%[2]d}$`, name, subjectPairs-1), "job/4f7kk2m9/corner/LF")
}

func (Source) schema() *jsonschema.Schema {
	return text("the log of one device of one shop",
		`^urn:fettlebook:[A-Za-z0-9][A-Za-z0-9._-]{0,39}:[A-Za-z0-9][A-Za-z0-9._-]{0,39}$`, "urn:fettlebook:k7m2q4xw:t3fz8c1n")
}

func (Type) schema() *jsonschema.Schema {
	return text("the kind of the entry and the version of its data", `^[a-z]+\.[a-z]+/[1-9][0-9]*$`, "torque.applied/1")
}

func (Uptime) schema() *jsonschema.Schema {
	return text("seconds since the start of the device", `^[0-9]+\.[0-9]{3}$`, "8123.456")
}

func (After) schema() *jsonschema.Schema {
	const name = `[A-Za-z0-9][A-Za-z0-9._-]{0,39}`
	const prefix = name + `/[1-9][0-9]{0,12}/[A-Za-z0-9_-]{21}[AQgw]`
	s := text("how much of every other log the device held: device, number of entries and the first 16 bytes of the root there",
		fmt.Sprintf(`^%[1]s( %[1]s)*$`, prefix), "hub1/412/3q2-7wQ1Zg8b0nQ6mS4nRg")
	s.MaxLength = most(maxAfterText)
	return s
}

func (Seen) schema() *jsonschema.Schema {
	return text("the newest state of the hub’s log that the device held: size and root", `^[1-9][0-9]* [A-Za-z0-9+/]{43}=$`,
		"412 3q2+7wQ1Zg8b0nQ6mS4nRk2p1t4oVwq0S5oYkqj8w2E=")
}
