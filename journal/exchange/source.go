package exchange

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"

	"github.com/go-json-experiment/json"
)

// Source is what is written: a job, or several of one vehicle.
type Source struct {
	Shop journal.ShopID
	Jobs []*shop.Standing // one at least
	Log  Log
	// Name says what a person is called; nil gives initials.
	Name func(journal.PersonID) string
}

// Log gives entries as they lie in the logs.
type Log interface {
	Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error)
}

// view is the record of the jobs.
func (s *Source) view(o record.Options) *record.View {
	if len(s.Jobs) == 1 {
		return s.Jobs[0].Job.View(o)
	}
	var v record.Vehicle
	if is := s.Jobs[0].Job.Vehicle; is != nil {
		v = *is
	}
	v.Jobs = nil
	for _, st := range s.Jobs {
		v.Jobs = append(v.Jobs, st.Job)
	}
	return v.View(o)
}

// mine reports whether a subject lies in one of the jobs.
func (s *Source) mine(about journal.Subject) bool {
	return slices.ContainsFunc(s.Jobs, func(st *shop.Standing) bool { return st.Job.ID == about.Job() })
}

// called says what a person is called.
func (s *Source) called(id journal.PersonID) string {
	if s.Name != nil {
		return s.Name(id)
	}
	return s.Jobs[0].Stock.Shop().Initials(id)
}

// line is a line of the record, as far as it may be shown, with the bytes of
// its entry.
type line struct {
	*record.Line
	raw []byte
	in  *shop.Standing // the job, or one of those, in whose record it stands
}

// shared reports whether an entry may tell of other vehicles: it names parts of
// theirs, or somebody said something in words of his own, a remark or a reason,
// on a run that parts of theirs took part in, and nobody knows what that is
// about.
func (s *Source) shared(l *line) bool {
	return l.Withheld > 0 || len(s.others(l.Payload))+len(s.others(l.Effect())) > 0 ||
		s.together(l) && (l.Kind.Step() == journal.NoStep || l.Note() != "")
}

// together reports whether parts of other vehicles took part in the run that
// an entry is about.
func (s *Source) together(l *line) bool {
	if l.in == nil || l.Subject.Run() == "" {
		return false
	}
	run := l.in.Stock.Shop().Run(l.Subject.Run())
	return run != nil && slices.ContainsFunc(run.Parts, func(part journal.Subject) bool { return !s.mine(part) })
}

// hash names the bytes of the entry by their hash.
func (l *line) hash() string { return named(sha256.Sum256(l.raw)) }

// named writes a hash as a name, by RFC 6920.
func named(sum [32]byte) string {
	return "ni:///sha-256;" + base64.RawURLEncoding.EncodeToString(sum[:])
}

// gather returns the lines of the record in the order of replay, each once.
func (s *Source) gather(ctx context.Context) ([]line, error) {
	in := make(map[journal.Position]*shop.Standing)
	view := s.view(record.Options{Receipts: true, Beside: func(l *record.Line) *record.Beside {
		st := s.standing(l)
		if st == nil {
			return nil
		}
		in[l.Position()] = st
		return s.beside(st, l)
	}})
	var lines []*record.Line
	for _, j := range view.Jobs {
		lines = append(lines, j.Lines...)
		for _, c := range j.Corners {
			lines = append(lines, c.Lines...)
			for _, p := range c.Parts {
				lines = append(lines, p.Lines...)
			}
		}
	}
	for _, r := range view.Runs {
		lines = append(lines, r.Lines...)
	}
	slices.SortStableFunc(lines, func(a, b *record.Line) int {
		if a.ID.IsZero() || b.ID.IsZero() { // bytes that are not an entry come last
			return boolean(a.ID.IsZero()) - boolean(b.ID.IsZero())
		}
		return a.Compare(b)
	})
	lines = slices.CompactFunc(lines, func(a, b *record.Line) bool { return a.Position() == b.Position() })
	at := make([]journal.Position, len(lines))
	for i, l := range lines {
		at[i] = l.Position()
	}
	logged, err := s.Log.Pick(ctx, at)
	if err != nil {
		return nil, fmt.Errorf("read the entries of the record: %w", err)
	}
	raw := make(map[journal.Position][]byte, len(logged))
	for _, e := range logged {
		raw[e.Position] = e.Bytes
	}
	list := make([]line, len(lines))
	for i, l := range lines {
		bytes, here := raw[l.Position()]
		if !here {
			return nil, fmt.Errorf("read the entries of the record: %w: entry %d of %s", shop.ErrGone, l.Index+1, l.Device)
		}
		list[i] = line{l, bytes, in[l.Position()]}
	}
	return list, nil
}

func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}

// standing returns the first of the jobs in whose record a line stands.
func (s *Source) standing(l *record.Line) *shop.Standing {
	for _, st := range s.Jobs {
		if slices.Contains(st.Stock.Shop().Line(l.ID), l) {
			return st
		}
	}
	return nil
}

// amounts is what stands beside a line: what its entry used, and what it comes
// to.
type amounts struct {
	Things     []facts.Thing `json:"things,omitempty"`
	Statements []stated      `json:"statements,omitempty"`
}

type stated struct {
	facts.Statement
	Says string `json:"says,omitzero"`
}

// beside says what stands beside a line, without what is about parts of other
// jobs.
func (s *Source) beside(st *shop.Standing, l *record.Line) *record.Beside {
	stock := st.Stock.Plainly()
	is := amounts{Things: stock.Things(l)}
	for _, f := range stock.Entry(l).Statements {
		if !f.Verdict(l.Kind) || f.About.Job() != "" && !s.mine(f.About) {
			continue
		}
		says := ""
		if len(s.others(l.Effect()))+len(s.others(l.Payload)) == 0 {
			says = f.Say()
		}
		is.Statements = append(is.Statements, stated{f, says})
	}
	if len(is.Things)+len(is.Statements) == 0 {
		return nil
	}
	raw, err := json.Marshal(is, json.Deterministic(true))
	if err != nil { // statements hold texts and numbers only
		return nil
	}
	return &record.Beside{Facts: raw}
}

// hung returns the parts of these jobs that an entry names as worked on.
func (s *Source) hung(p journal.Payload) []journal.Subject {
	mine, _ := s.split(p)
	return mine
}

// others returns those of other jobs.
func (s *Source) others(p journal.Payload) []journal.Subject {
	_, others := s.split(p)
	return others
}

func (s *Source) split(p journal.Payload) (mine, others []journal.Subject) {
	for _, part := range journal.Hung(p) {
		if s.mine(part) {
			mine = append(mine, part)
		} else {
			others = append(others, part)
		}
	}
	return mine, others
}
