package journal

import (
	"bytes"
	"encoding"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// complete walks the fields that JSON shows: what must be given is, and what
// is given stays within its caps.
func complete(p *problems, at string, v reflect.Value) {
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		name, required := member(field)
		switch {
		case field.Anonymous:
			complete(p, at, f)
		case !empty(f):
			within(p, at+name, f, textCap(v.Type(), name))
		case required:
			p.missing(at + name)
		}
	}
}

// member returns a field's name in JSON and whether it must be given. What JSON does not
// show is never asked for.
func member(field reflect.StructField) (name string, required bool) {
	name, opts, _ := strings.Cut(field.Tag.Get("json"), ",")
	return name, field.IsExported() && name != "-" && !strings.Contains(opts, "omit")
}

// empty reports whether nothing was given. Of a number or a yes/no that
// cannot be seen here, since nought and no are answers too; see absent.
func empty(f reflect.Value) bool {
	switch {
	case silent(f.Type()):
		return false
	case f.Kind() == reflect.Slice:
		return f.Len() == 0
	default:
		return f.IsZero()
	}
}

// silent reports whether the type's zero value is a possible answer.
func silent(t reflect.Type) bool {
	return t.Kind() == reflect.Bool || t.Kind() == reflect.Int || t.Kind() == reflect.Int64
}

// within checks a value that was given.
func within(p *problems, at string, f reflect.Value, limit int) {
	_, isWord := f.Addr().Interface().(encoding.TextUnmarshaler)
	switch {
	case f.Type() == reflect.TypeFor[jsontext.Value]():
	case isWord:
		if p.unread && f.Kind() == reflect.String {
			word := reflect.New(f.Type()).Interface().(encoding.TextUnmarshaler) // f stays as it is
			if err := word.UnmarshalText([]byte(f.String())); err != nil {
				p.add(at, NotReadable, "%s", err)
			}
		}
	case f.Kind() == reflect.String:
		if n := utf8.RuneCountInString(f.String()); n > limit {
			p.add(at, TooLong, "has %d characters, more than %d", n, limit)
		}
		if !utf8.ValidString(f.String()) {
			p.add(at, NotText, "holds bytes that are not text")
		}
	case f.Kind() == reflect.Slice:
		for j := range f.Len() {
			one := row(at, j)
			if empty(f.Index(j)) {
				p.missing(one)
			} else {
				within(p, one, f.Index(j), limit)
			}
		}
	case f.Kind() == reflect.Pointer:
		within(p, at, f.Elem(), limit)
	case f.Kind() == reflect.Struct:
		complete(p, at+".", f)
	}
}

// absent finds the numbers and yes/no answers that must be given and are not:
// once decoded, a missing count would pass for a counted nought. v is what
// data was decoded into.
func absent(p *problems, at string, v reflect.Value, data jsontext.Value) {
	if !mute(v) {
		return
	}
	var given map[string]jsontext.Value
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		name, required := member(field)
		nested := f.Kind() == reflect.Pointer && !f.IsNil()
		if !nested && !(required && silent(f.Type()) && f.IsZero()) {
			continue
		}
		if given == nil && json.Unmarshal(data, &given) != nil {
			return // the decoder has said so
		}
		if nested {
			absent(p, at+name+".", f.Elem(), given[name])
		} else if value := given[name]; value == nil || value.Kind() == 'n' {
			p.missing(at + name)
		}
	}
}

// mute reports whether a number or a yes/no answer that must be given is nought
// or no here, or in what is nested in it, so that it may be missing: most
// entries need no second look into their data.
func mute(v reflect.Value) bool {
	for i := range v.NumField() {
		f := v.Field(i)
		switch {
		case f.Kind() == reflect.Pointer:
			if !f.IsNil() && mute(f.Elem()) {
				return true
			}
		case silent(f.Type()) && f.IsZero():
			if _, required := member(v.Type().Field(i)); required {
				return true
			}
		}
	}
	return false
}

// nulls finds the nulls that lie at most so many levels deep. A null would
// decode as if the field had been left out, and says less.
func nulls(data []byte, depth int) (at []string) {
	if !bytes.Contains(data, []byte("null")) {
		return nil
	}
	in := jsontext.NewDecoder(bytes.NewReader(data))
	for {
		token, err := in.ReadToken()
		if err != nil {
			return at // the end, or what the decoder has refused
		}
		if token.Kind() == 'n' && in.StackDepth() <= depth {
			at = append(at, field(in.StackPointer()))
		}
	}
}
