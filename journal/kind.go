package journal

import (
	"errors"
	"fmt"
	"iter"
	"strings"
)

// Kind is the stable written name of a kind of entry: a noun, a dot and what
// happened to it. A kind is never renamed and its payload never changes its
// meaning; a changed payload gets the next version number.
type Kind string

// ErrUnknownKind is wrapped when an entry's kind or version was written by a
// newer fettlebook. Such an entry is kept, synced and proven all the same.
var ErrUnknownKind = errors.New("written by a newer fettlebook")

// UnmarshalText accepts any well-formed kind, known or not.
func (k *Kind) UnmarshalText(text []byte) error {
	dots := 0
	for i, r := range string(text) {
		switch {
		case r >= 'a' && r <= 'z':
		case r == '.' && i > 0 && i < len(text)-1:
			dots++
		default:
			return fmt.Errorf("the kind %.50q is not two lower-case words and a dot, such as torque.applied", text)
		}
	}
	if dots != 1 || len(text) > MaxName {
		return fmt.Errorf("the kind %.50q is not two lower-case words and a dot, such as torque.applied", text)
	}
	*k = Kind(text)
	return nil
}

// Known reports whether this version has a payload for the kind.
func (k Kind) Known() bool { _, ok := k.spec(); return ok }

// Version returns the version of the kind's payload that this program writes.
func (k Kind) Version() int { s, _ := k.spec(); return s.version }

// About says in a few words what an entry of this kind states.
func (k Kind) About() string { s, _ := k.spec(); return s.about }

// Told is what an entry of this kind states as what is written down: "that the vehicle was
// driven", "how the vehicle came in".
func (k Kind) Told() string {
	about := k.About()
	for _, asks := range []string{"how ", "what ", "which "} {
		if strings.HasPrefix(about, asks) {
			return about
		}
	}
	return "that " + about
}

// Places returns the forms of subject that the kind may have, such as
// "job/corner/part"; empty means any.
func (k Kind) Places() []string { s, _ := k.spec(); return s.places }

// maxBytes caps an encoded entry of the kind.
func (k Kind) maxBytes() int {
	if k == EntryTakenOver {
		return MaxQuotingBytes
	}
	return MaxEntryBytes
}

// Blank returns an empty payload to decode into, or nil for an unknown kind.
func (k Kind) Blank() Payload {
	s, ok := k.spec()
	if !ok {
		return nil
	}
	return s.blank()
}

// Kinds yields every known kind in the order of the job.
func Kinds() iter.Seq[Kind] {
	return func(yield func(Kind) bool) {
		for _, s := range register {
			if !yield(s.kind) {
				return
			}
		}
	}
}

func (k Kind) spec() (spec, bool) {
	for i := range register {
		if register[i].kind == k {
			return register[i], true
		}
	}
	return spec{}, false
}

// as makes the blank function of a payload type.
func as[P any, PP interface {
	*P
	Payload
}]() func() Payload {
	return func() Payload { return PP(new(P)) }
}
