package journal

import (
	"encoding"
	"errors"
	"reflect"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// problemOf parts the place from the cause and leaves the decoder's Go talk out.
func problemOf(err error) Problem {
	var s *json.SemanticError
	var bad *jsontext.SyntacticError
	switch {
	case errors.As(err, &s):
	case errors.Is(err, jsontext.ErrDuplicateName) && errors.As(err, &bad):
		return Problem{field(bad.JSONPointer), Twice, "is given twice; keep one of them"}
	default:
		return Problem{Code: NotReadable, Say: "this is not proper JSON: " + strings.TrimPrefix(err.Error(), "jsontext: ")}
	}
	at := field(s.JSONPointer)
	switch {
	case errors.Is(err, json.ErrUnknownName):
		return Problem{at, UnknownField, "is not known; `fettlebook schema` lists the fields of each kind"}
	case misshapen(s) && at == "":
		return Problem{Code: WrongShape, Say: "the data must be " + shape(s.GoType)}
	case misshapen(s):
		return Problem{at, WrongShape, "must be " + shape(s.GoType)}
	default:
		return Problem{at, NotReadable, s.Err.Error()}
	}
}

// misshapen tells a value of another JSON type from one with wrong contents.
func misshapen(s *json.SemanticError) bool {
	return s.Err == nil || errors.Is(s.Err, strconv.ErrSyntax) || errors.Is(s.Err, strconv.ErrRange) ||
		s.JSONKind != '"' && shape(s.GoType) == aText
}

const aText = "a text in quotes"

// shape says how a type is written in JSON.
func shape(t reflect.Type) string {
	if reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()) {
		return aText
	}
	switch t.Kind() {
	case reflect.Bool:
		return "true or false"
	case reflect.Int, reflect.Int64:
		return "a whole number"
	case reflect.Slice:
		return "a list"
	case reflect.Struct, reflect.Pointer:
		return "an object with fields of its own"
	default:
		return aText
	}
}

// field names a place in JSON as people do: spots.0.place; "" is the whole.
func field(at jsontext.Pointer) string {
	return strings.ReplaceAll(strings.TrimPrefix(string(at), "/"), "/", ".")
}
