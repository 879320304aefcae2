package evidence

import (
	"cmp"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/words"

	"golang.org/x/mod/sumdb/note"
)

// outside is a state of the hub's log that somebody outside says existed by a
// time.
type outside struct {
	*state
	by time.Time
}

// checkWitnessed says what timestamp authorities and witnesses add; it is not
// asked if there are none. What they say holds for the hub's entries below that
// state, and for those of other logs that these entries had seen.
func (r *reading) checkWitnessed() (Answer, error) {
	l := r.d.log(r.d.Hub)
	if !r.askedOutside() && len(r.authorities) == 0 {
		return Answer{}, nil
	}
	a := Answer{Question: Witnessed}
	if len(r.authorities) > 0 && !r.stampedAnywhere() {
		a.add(Finding{StampAbsent, Unknown, "A timestamp authority’s certificates were given, and no timestamp is in this file.", nil, nil})
	}
	keys := r.witnesses(&a)
	signed := make(map[string]bool)
	var list []outside
	for _, s := range l.States {
		state := r.logs[r.d.Hub].states[s.Size]
		if state == nil || !state.signed {
			if s.Stamped {
				a.add(Finding{StampWrong, No, fmt.Sprintf("The timestamp of %s of the hub’s log is of a state that is not signed.", words.Count(s.Size, "entry")), nil, paths(StampPath(r.d.Hub, s.Size))})
			}
			continue
		}
		by, err := r.stamped(&a, s, state)
		if err != nil {
			return a, err
		}
		list = append(list, by...)
		list = append(list, cosigned(&a, s, state, r.d.Hub, keys, signed)...)
	}
	for _, key := range keys {
		if !signed[key.Name()] {
			a.add(Finding{WitnessGone, No, fmt.Sprintf("The witness %s is named, and no state here has its signature.", key.Name()), nil, paths(DossierPath)})
		}
	}
	held, first, last := r.coveredBy(list)
	all := words.Choose(held == len(r.list), "every entry", words.Of(held, len(r.list), "entry")) + " existed by the word of others than the shop"
	by := words.If(held > 0, fmt.Sprintf("; the first by %s, the last by %s", clock(first), clock(last)))
	a.settle("Yes: "+all+by+".", "No: something is wrong with what others are said to have witnessed; "+all+by+".",
		"No timestamp here is by an authority under the certificates that were given; without it, "+all+by+".")
	return a, nil
}

// askedOutside reports whether the file says that anybody outside said
// anything.
func (r *reading) askedOutside() bool {
	return len(r.d.Witnesses) > 0 || r.stampedAnywhere()
}

// stampedAnywhere reports whether the file says that it holds a timestamp.
func (r *reading) stampedAnywhere() bool {
	return slices.ContainsFunc(r.d.log(r.d.Hub).States, func(s State) bool { return s.Stamped })
}

// witnesses reads the keys of the witnesses. Keys of the shop itself are none.
func (r *reading) witnesses(a *Answer) (keys []note.Verifier) {
	var own []string
	for _, list := range r.reg.keys {
		own = append(own, list...)
	}
	for _, reign := range r.reg.hub.Reigns {
		own = append(own, reign.Cosign)
	}
	for _, text := range r.d.Witnesses {
		v, err := witnessed.Verifier(text)
		switch {
		case err != nil:
			a.add(Finding{WitnessWrong, No, fmt.Sprintf("%.80q is not the key of a witness.", text), nil, paths(DossierPath)})
		case slices.ContainsFunc(own, func(k string) bool { return material(k) == material(text) }):
			a.add(Finding{WitnessWrong, No, fmt.Sprintf("The witness %s has a key of the shop itself.", v.Name()), nil, paths(DossierPath)})
		default:
			keys = append(keys, v)
		}
	}
	return keys
}

// material returns the public key in a verifier text, whatever it is called.
func material(text string) string {
	raw, err := base64.StdEncoding.DecodeString(text[strings.LastIndex(text, "+")+1:])
	if err != nil || len(raw) < 2 {
		return text
	}
	return string(raw[1:])
}

// stamped checks the timestamp of a state.
func (r *reading) stamped(a *Answer, s State, state *state) ([]outside, error) {
	if !s.Stamped {
		return nil, nil
	}
	where := paths(StampPath(r.d.Hub, s.Size))
	raw, err := r.load(StampPath(r.d.Hub, s.Size), witnessed.MaxStamp)
	if err != nil {
		return nil, err
	}
	if raw == nil {
		a.add(Finding{StampWrong, No, fmt.Sprintf("The timestamp of %s of the hub’s log is not here.", words.Count(s.Size, "entry")), nil, where})
		return nil, nil
	}
	got, err := witnessed.CheckStamp(raw, state.Note)
	if err != nil {
		a.add(Finding{StampWrong, No, fmt.Sprintf("The timestamp of %s of the hub’s log does not hold: %s.", words.Count(s.Size, "entry"), err), nil, where})
		return nil, nil
	}
	says := fmt.Sprintf("The hub’s log with its first %s existed by %s, says the timestamp authority %s, whose certificate has the SHA-256 fingerprint %s",
		words.Count(s.Size, "entry"), clock(got.By()), got.Authority, hex.EncodeToString(got.Certificate[:]))
	if len(r.authorities) == 0 {
		a.add(Finding{Stamped, Yes, says + ". Under whom that certificate was issued was not checked.", nil, where})
		return []outside{{state, got.By()}}, nil
	}
	root, err := got.Under(r.authorities)
	if err != nil {
		a.add(Finding{StampOther, Unknown, says + ". It was not issued under any of the certificates that were given, so the timestamp does not count.", nil, where})
		return nil, nil
	}
	a.add(Finding{Stamped, Yes, fmt.Sprintf("%s. It was issued under %s, one of the certificates that were given, and was valid at that time.", says, root), nil, where})
	return []outside{{state, got.By()}}, nil
}

// cosigned checks the witnesses' lines on a state.
func cosigned(a *Answer, s State, state *state, hub journal.DeviceID, keys []note.Verifier, signed map[string]bool) (list []outside) {
	where := paths(CheckpointPath(hub, s.Size))
	for _, key := range keys {
		got, err := witnessed.Cosigned(state.Note, key)
		if err != nil {
			signed[key.Name()] = true
			a.add(Finding{WitnessWrong, No, fmt.Sprintf("The signature of the witness %s over %s of the hub’s log is wrong.", key.Name(), words.Count(s.Size, "entry")), nil, where})
		}
		for _, c := range got {
			signed[key.Name()] = true
			a.add(Finding{Cosigned, Yes, fmt.Sprintf("The hub’s log with its first %s existed by %s, says the witness %s, and had grown out of all of it that this witness was shown before.",
				words.Count(s.Size, "entry"), clock(c.Time), c.Witness), nil, where})
			list = append(list, outside{state, c.Time})
		}
	}
	return list
}

// coveredBy returns how many entries are covered by what was said outside, and
// the first and last of the times by which they existed.
func (r *reading) coveredBy(list []outside) (held int, first, last time.Time) {
	slices.SortFunc(list, func(a, b outside) int { return cmp.Or(a.by.Compare(b.by), cmp.Compare(b.Size, a.Size)) })
	rest := make(map[journal.DeviceID][]*entry) // which nothing covers yet, by rising index
	for _, e := range r.list {
		rest[e.At.Device] = append(rest[e.At.Device], e)
	}
	seen := r.seenBy()
	for _, o := range list {
		for device, size := range seen(o.Size) {
			for len(rest[device]) > 0 && rest[device][0].At.Index < size {
				e := rest[device][0]
				if rest[device] = rest[device][1:]; e.in == nil {
					continue
				}
				if last = o.by; held == 0 {
					first = o.by
				}
				held++
			}
		}
	}
	return held, first, last
}

// seenBy returns a function that says how many entries of each log the first
// entries of the hub's log had seen, so many, as far as that is proven here. It
// is asked by rising sizes; a smaller one is answered as the last.
func (r *reading) seenBy() func(size int64) map[journal.DeviceID]int64 {
	shown := make(map[prefix]*Cited)
	for i := range r.d.Cited {
		c := &r.d.Cited[i]
		shown[prefix{c.Device, c.Size}] = c
	}
	seen := make(map[journal.DeviceID]int64)
	next := 0
	return func(size int64) map[journal.DeviceID]int64 {
		for ; next < len(r.list); next++ {
			e := r.list[next]
			if e.At.Device == r.d.Hub && e.At.Index >= size {
				break
			}
			if e.At.Device != r.d.Hub || e.in == nil || e.e == nil {
				continue
			}
			for _, p := range e.e.After {
				c := shown[prefix{p.Device, p.Size}]
				if p.Size > seen[p.Device] && p.Device != r.d.Hub && c != nil && p.Fits(c.Root) && r.grew(c) {
					seen[p.Device] = p.Size
				}
			}
		}
		seen[r.d.Hub] = max(seen[r.d.Hub], size)
		return seen
	}
}
