package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json/jsontext"
)

// fullID is how many characters the ID of an entry has, and likely how many entries are
// named where its beginning fits several.
const (
	fullID = 36
	likely = 5
)

// entry finds the entry whose ID is, or begins with, what was typed; is says whether that
// looks like one at all. An ID in full is taken as it is, whether its entry is here or not.
func (s *shelf) entry(typed string) (id journal.EntryID, is bool, err error) {
	if id, err := journal.ParseEntryID(typed); err == nil {
		return id, true, nil
	}
	begin, is := journal.ParseIDBeginning(typed)
	if !is {
		return id, false, nil
	}
	switch fit := s.view.IDs(begin, likely+1); len(fit) {
	case 1:
		return fit[0], true, nil
	case 0:
		return id, true, notFound("there is no entry here whose ID begins with %s; `fettlebook record JOB --ids` shows the IDs", oneLine(typed))
	default:
		return id, true, notFound("%s matches several entries; write more of the ID: %s%s", oneLine(typed), s.called(fit[:min(len(fit), likely)]), words.If(len(fit) > likely, " and more"))
	}
}

// entryOf is entry where nothing but an entry can be meant.
func (s *shelf) entryOf(typed string) (journal.EntryID, error) {
	id, is, err := s.entry(typed)
	if err == nil && !is {
		_, err = journal.ParseEntryID(typed)
		err = notFound("%v, or the first characters of one, at least %d", err, journal.ShortestID)
	}
	return id, err
}

// called lists entries with what each is.
func (s *shelf) called(ids []journal.EntryID) string {
	var list []string
	for _, id := range ids {
		what := ""
		for _, l := range s.view.Line(id) {
			what = fmt.Sprintf(" (%s, %s)", l.Kind, whereabouts(l))
		}
		list = append(list, id.String()+what)
	}
	return strings.Join(list, "; ")
}

// whereabouts says what a line is about as far as it helps to tell it from others.
func whereabouts(l *record.Line) string {
	return words.Commas(words.Fill("job %s", string(l.Subject.Job())), words.Choose(l.Subject.Job() == "", string(l.Subject), l.Subject.Place()))
}

// identify writes out what data names by its beginning: entries by their IDs, devices and
// customers' cards by theirs.
func (c *entryWriter) identify(kind journal.Kind, data map[string]jsontext.Value) error {
	for name, raw := range data {
		if !maybeID(raw) {
			continue // and most entries have nothing that could be one
		}
		s, err := shapeOf(kind)
		if err != nil {
			return err
		}
		if in := s.find(name); in != nil {
			if data[name], err = c.shelf.identified(name, in, raw); err != nil {
				return err
			}
		}
	}
	return nil
}

// maybeID reports whether a text in a value could be the beginning of an ID.
func maybeID(raw jsontext.Value) bool {
	for in := jsontext.NewDecoder(bytes.NewReader(raw)); ; {
		token, err := in.ReadToken()
		if err != nil {
			return false // the end, or what the decoder of the entry refuses
		}
		if text := token.String(); token.Kind() == '"' && len(text) >= shortestJob && len(text) < fullID && !strings.ContainsAny(text, " /") {
			return true
		}
	}
}

// identified writes out a value of a field.
func (s *shelf) identified(name string, in *shape, raw jsontext.Value) (jsontext.Value, error) {
	switch raw.Kind() {
	case '"':
		return s.identifiedText(name, in, raw)
	case '[':
		if in.Items == nil {
			return raw, nil
		}
		return rewritten(raw, func(_ string, element jsontext.Value) (jsontext.Value, error) {
			return s.identified(name, in.Items, element)
		})
	case '{':
		return rewritten(raw, func(member string, value jsontext.Value) (jsontext.Value, error) {
			if of := in.find(member); of != nil {
				return s.identified(member, of, value)
			}
			return value, nil
		})
	}
	return raw, nil
}

func (s *shelf) identifiedText(name string, in *shape, raw jsontext.Value) (jsontext.Value, error) {
	unquoted, err := jsontext.AppendUnquote(nil, raw)
	if err != nil {
		return raw, nil // the decoder says what is wrong
	}
	typed := string(unquoted)
	whole := typed
	switch {
	case in.Format == "uuid":
		id, is, err := s.entry(typed)
		if err != nil || !is {
			return raw, err
		}
		whole = id.String()
	case name == "device":
		whole, err = meant(typed, "device", s.devices())
	case name == "card":
		whole, err = meant(typed, "customer card", s.view.NamesFrom("card", strings.ToLower(typed)))
	}
	if err != nil || whole == typed {
		return raw, err
	}
	return jsontext.AppendQuote(nil, whole)
}

// devices are the names of the register's devices.
func (s *shelf) devices() (list []string) {
	for _, d := range s.view.Shop.Devices {
		list = append(list, string(d.ID))
	}
	return list
}

// meant finds the one name that was typed, or that begins so. What fits none is taken as it
// was typed: it may be of something that is not here yet.
func meant(typed, what string, names []string) (string, error) {
	var fit []string
	for _, n := range names {
		switch {
		case strings.EqualFold(n, typed):
			return n, nil
		case len(typed) >= shortestJob && strings.HasPrefix(strings.ToLower(n), strings.ToLower(typed)):
			fit = append(fit, n)
		}
	}
	slices.Sort(fit)
	switch fit = slices.Compact(fit); len(fit) {
	case 0:
		return typed, nil
	case 1:
		return fit[0], nil
	default:
		return typed, notFound("%s matches several IDs of a %s; write more of the ID: %s", oneLine(typed), what, list(fit))
	}
}

// rewritten goes through the members of an object or the elements of a list.
func rewritten(raw jsontext.Value, each func(name string, value jsontext.Value) (jsontext.Value, error)) (jsontext.Value, error) {
	in, out := jsontext.NewDecoder(bytes.NewReader(raw)), new(bytes.Buffer)
	to := jsontext.NewEncoder(out)
	open, err := in.ReadToken()
	if err != nil {
		return raw, nil // the decoder of the entry says what is wrong
	}
	object := open.Kind() == '{'
	if err := to.WriteToken(open); err != nil {
		return nil, err
	}
	for in.PeekKind() != '}' && in.PeekKind() != ']' {
		name := ""
		if object {
			token, err := in.ReadToken()
			if err != nil {
				return raw, nil
			}
			name = token.String()
			if err := to.WriteToken(jsontext.String(name)); err != nil {
				return nil, err
			}
		}
		value, err := in.ReadValue()
		if err != nil {
			return raw, nil
		}
		if value, err = each(name, value.Clone()); err != nil {
			return nil, err
		}
		if err := to.WriteValue(value); err != nil {
			return nil, err
		}
	}
	end, err := in.ReadToken()
	if err != nil {
		return raw, nil
	}
	if err := to.WriteToken(end); err != nil {
		return nil, err
	}
	return bytes.TrimSpace(out.Bytes()), nil
}
