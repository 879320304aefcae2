package journal

import (
	"reflect"

	"fettlebook/journal/words"
)

// respelled is a quantity, which is written in a shop's own way where it is told.
type respelled interface{ Respell(words.Writing) }

// Told returns data as it is told to people who write numbers and days in a way: a copy
// whose sentences are in it. It is for Say alone. What was typed in words, names and lots
// among them, and every choice stay letter by letter, since only quantities and days are
// respelled.
func Told(p Payload, w words.Writing) Payload {
	if p == nil || w == (words.Writing{}) {
		return p
	}
	told := reflect.New(reflect.TypeOf(p).Elem())
	told.Elem().Set(reflect.ValueOf(p).Elem())
	respell(told.Elem(), w)
	return told.Interface().(Payload)
}

// respell writes the quantities within a value anew. What the value points to is copied
// first, since others hold it too.
func respell(v reflect.Value, w words.Writing) {
	switch is := v.Addr().Interface().(type) {
	case *Evidence:
		is.writing = w
		return
	case respelled:
		is.Respell(w)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() {
				respell(f, w)
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			own := reflect.New(v.Type().Elem())
			own.Elem().Set(v.Elem())
			respell(own.Elem(), w)
			v.Set(own)
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 || v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		for i := range own.Len() {
			respell(own.Index(i), w)
		}
		v.Set(own)
	}
}
