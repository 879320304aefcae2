package journal

import (
	"fmt"
	"math"
	"reflect"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Draft is what a person wants to write down: an entry without the parts
// that the log adds (id, source, clocks). Thumbs holds the bytes of every
// thumbnail that the payload's photos name.
type Draft struct {
	Subject Subject
	By      PersonID
	Data    Payload
	Thumbs  [][]byte
	// Begins says that a run begins with the entry that has no name yet. The
	// subject is what it may be called; who keeps the data folder names it.
	Begins bool
}

// Payload is the typed data of one kind. All payloads are in this package.
type Payload interface {
	// Kind returns the kind whose data this is.
	Kind() Kind
	// Say states the data in one short sentence, figures as typed. Photos and
	// the remark are not in it.
	Say() string
	// check reports what is wrong beyond missing fields.
	check(*problems)
	evidence() *Evidence
}

// Valid checks a draft before anything is written. The error is an *[Invalid].
func (d *Draft) Valid() error {
	if d.Data == nil {
		return Refuse("", WhatUnknown, "the entry has no data")
	}
	kind := d.Data.Kind()
	p := &problems{unread: true, typed: true}
	spec, known := kind.spec()
	if !known {
		p.add("", WhatUnknown, "the kind %q is not known", kind)
	}
	if d.By == "" {
		p.add("", WhoUnknown, "the person is missing; say who did it")
	} else if _, err := ParseName[person](string(d.By)); err != nil {
		p.add("", WhoUnknown, "%s", err)
	}
	if err := d.Subject.check(spec.places); err != nil {
		p.add("", WhatUnknown, "%s", err)
	}
	inspect(p, d.Data)
	if kind.Is(ByPhotograph) && len(d.Data.evidence().Photos) == 0 {
		p.add("photos", Clash, "add the photograph that shows it")
	}
	if len(p.list) > 0 {
		return &Invalid{Kind: kind, Problems: p.list}
	}
	return nil
}

// inspect checks a payload: fields without omitzero or omitempty must be
// given, texts and lists stay within their caps, figures that are being
// written within their spans, then the kind's own rules.
func inspect(p *problems, data Payload) {
	complete(p, "", reflect.ValueOf(data).Elem())
	if n := len(data.evidence().Photos); n > MaxPhotos {
		p.add("photos", TooMany, "%d photographs are too many for one entry, which takes %d; add the rest in entries of their own", n, MaxPhotos)
	}
	if p.typed {
		spanned(p, "", reflect.ValueOf(data).Elem())
	}
	data.check(p)
}

// anyDepth is deeper than the decoder goes.
const anyDepth = math.MaxInt

// ParsePayload reads the data of a known kind strictly and checks it. An
// unknown kind gives an error that wraps [ErrUnknownKind]. What an earlier
// version said comes back as the present one would say it.
func ParsePayload(t Type, data []byte) (Payload, error) { return new(problems).parse(t, data) }

func (p *problems) parse(t Type, data []byte) (Payload, error) {
	spec, ok := t.Kind.spec()
	blank := spec.blank
	if ok && t.Version != spec.version {
		blank = t.earlier()
	}
	if blank == nil {
		return nil, fmt.Errorf("%w: %s", ErrUnknownKind, t)
	}
	payload := blank()
	if err := json.Unmarshal(data, payload, strict()); err != nil {
		return nil, &Invalid{Kind: t.Kind, Problems: []Problem{problemOf(err)}}
	}
	for _, field := range nulls(data, anyDepth) {
		p.add(field, Null, "is null; leave it out instead")
	}
	absent(p, "", reflect.ValueOf(payload).Elem(), data)
	if p.typed {
		zeros(p, "", reflect.ValueOf(payload).Elem(), data)
	}
	if t.Version != spec.version {
		premature(p, reflect.ValueOf(payload).Elem(), t.Version, data)
	}
	inspect(p, payload)
	if len(p.list) > 0 {
		return nil, &Invalid{Kind: t.Kind, Problems: p.list}
	}
	if then, ok := payload.(dated); ok {
		return then.present(), nil
	}
	return payload, nil
}

// Payload reads the entry's data; see [ParsePayload].
func (e *Entry) Payload() (Payload, error) { return ParsePayload(e.Type, e.Data) }

// MarshalPayload writes a payload as the data of an entry.
func MarshalPayload(data Payload) (jsontext.Value, error) {
	raw, err := json.Marshal(data, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("encode %s: %w", data.Kind(), err)
	}
	return raw, nil
}
