package journal

import (
	"reflect"
	"strconv"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// A kind's next version often says more than the one before and nothing else
// than that: fields come along, each marked with the version that it came with
// (since:"2"), and what had to be given may be left out where a new field
// takes its place. Then entries of both are read into one type, and what was
// written before means what it meant. What changed otherwise is in earlier.go.

// premature finds what the version of an entry did not have yet. v is what
// data was decoded into.
func premature(p *problems, v reflect.Value, version int, data jsontext.Value) {
	var given map[string]jsontext.Value
	for i := range v.NumField() {
		field := v.Type().Field(i)
		if since(field) <= version {
			continue
		}
		if given == nil && json.Unmarshal(data, &given) != nil {
			return // the decoder has said so
		}
		if name, _ := member(field); given[name] != nil {
			p.add(name, UnknownField, "is not a field of version %d", version)
		}
	}
}

// since returns the version that a field came with.
func since(field reflect.StructField) int {
	if n, err := strconv.Atoi(field.Tag.Get("since")); err == nil {
		return n
	}
	return 1
}
