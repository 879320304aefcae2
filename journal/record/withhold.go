package record

import (
	"bytes"

	"fettlebook/journal"

	"github.com/go-json-experiment/json/jsontext"
)

// elsewhere stands in a view's data where a part of another vehicle's job was
// named.
const elsewhere = "a part of another job"

// withhold leaves the names of other jobs' parts out of an entry's data,
// whatever its kind, and returns how many it left out: in a list they go, as
// the name of a member they go with its value, elsewhere words stand instead.
// Data without any comes back as it is.
func withhold(data jsontext.Value, mine func(journal.Subject) bool) (jsontext.Value, int) {
	if len(data) == 0 {
		return nil, 0
	}
	var out bytes.Buffer
	s := &sieve{
		dec:  jsontext.NewDecoder(bytes.NewReader(data)),
		enc:  jsontext.NewEncoder(&out, jsontext.PreserveRawStrings(true)),
		mine: mine,
	}
	switch err := s.value(); {
	case err != nil: // cannot be for data that was decoded once; show nothing rather than too much
		return nil, s.withheld + 1
	case s.withheld == 0:
		return data, 0
	default:
		return bytes.TrimSpace(out.Bytes()), s.withheld
	}
}

// sieve copies one JSON value.
type sieve struct {
	dec      *jsontext.Decoder
	enc      *jsontext.Encoder
	mine     func(journal.Subject) bool
	withheld int
}

func (s *sieve) value() error {
	switch s.dec.PeekKind() {
	case '{':
		return s.members()
	case '[':
		return s.elements()
	}
	v, err := s.dec.ReadValue()
	if err != nil {
		return err
	}
	if s.foreign(v) {
		return s.enc.WriteToken(jsontext.String(elsewhere))
	}
	return s.enc.WriteValue(v)
}

func (s *sieve) members() error {
	if err := s.token(); err != nil {
		return err
	}
	for s.dec.PeekKind() != '}' {
		name, err := s.dec.ReadValue()
		if err != nil {
			return err
		}
		if s.foreign(name) {
			if err := s.dec.SkipValue(); err != nil {
				return err
			}
			continue
		}
		if err := s.enc.WriteValue(name); err != nil {
			return err
		}
		if err := s.value(); err != nil {
			return err
		}
	}
	return s.token()
}

func (s *sieve) elements() error {
	if err := s.token(); err != nil {
		return err
	}
	for s.dec.PeekKind() != ']' {
		if s.dec.PeekKind() != '"' {
			if err := s.value(); err != nil {
				return err
			}
			continue
		}
		v, err := s.dec.ReadValue()
		if err != nil {
			return err
		}
		if s.foreign(v) {
			continue
		}
		if err := s.enc.WriteValue(v); err != nil {
			return err
		}
	}
	return s.token()
}

// token copies a bracket.
func (s *sieve) token() error {
	t, err := s.dec.ReadToken()
	if err != nil {
		return err
	}
	return s.enc.WriteToken(t)
}

// foreign reports whether a value is the subject of a job that is not of the
// view, and counts it.
func (s *sieve) foreign(v jsontext.Value) bool {
	if v.Kind() != '"' {
		return false
	}
	text, err := jsontext.AppendUnquote(nil, v)
	if err != nil || !bytes.HasPrefix(text, []byte("job/")) {
		return false
	}
	subject, err := journal.ParseSubject(string(text))
	if err != nil || s.mine(subject) {
		return false
	}
	s.withheld++
	return true
}
