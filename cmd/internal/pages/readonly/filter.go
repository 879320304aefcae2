package readonly

import (
	"net/http"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Filter says which lines of a job are asked for. The zero Filter asks for all,
// folded by stage if they are many.
type Filter struct {
	Corner journal.Corner
	Stage  string
	What   string // "photos", "holds" or "corrections"
	Whole  bool   // all lines by day, nothing folded
}

// FilterOf reads the filter of a request; what it does not know asks for all.
func FilterOf(r *http.Request) Filter {
	q := r.URL.Query()
	f := Filter{Stage: q.Get("stage"), Whole: q.Get("all") != ""}
	if err := f.Corner.UnmarshalText([]byte(q.Get("corner"))); err != nil {
		f.Corner = ""
	}
	if what := q.Get("what"); slices.ContainsFunc(whats(), func(w Link) bool { return w.Path == what }) {
		f.What = what
	}
	return f
}

// whats are the words by which lines are filtered, with what they are called.
func whats() []Link {
	return []Link{{"with photographs", "photos"}, {"proof for hold points", "holds"}, {"corrections", "corrections"}}
}

func (f Filter) on() bool { return f.Corner != "" || f.Stage != "" || f.What != "" }

func (f Filter) path(base string) string {
	q := url.Values{}
	for name, value := range map[string]string{"corner": string(f.Corner), "stage": f.Stage, "what": f.What} {
		if value != "" {
			q.Set(name, value)
		}
	}
	if f.Whole {
		q.Set("all", "1")
	}
	if len(q) == 0 {
		return base
	}
	return base + "?" + q.Encode()
}

func (f Filter) wants(l *record.Line, st *live.Standing, of map[*record.Line][]string) bool {
	if f.Corner != "" && !at(l, st.Job, f.Corner) || f.Stage != "" && !slices.Contains(of[l], f.Stage) {
		return false
	}
	switch f.What {
	case "photos":
		return len(l.Photos) > 0
	case "holds":
		return rests(l, st)
	case "corrections":
		return l.Struck != nil || !l.Corrects.IsZero()
	default:
		return true
	}
}

// at reports whether a line is about a corner of the job, or of a run that had
// a part of that corner in it.
func at(l *record.Line, j *record.Job, corner journal.Corner) bool {
	if run := l.Subject.Run(); run != "" {
		return slices.ContainsFunc(j.Corners, func(c *record.Corner) bool {
			return c.Corner == corner && slices.ContainsFunc(c.Parts, func(p *record.Part) bool {
				return slices.ContainsFunc(slices.Concat(p.Runs, p.Unhung), func(r *record.Run) bool { return r.ID == run })
			})
		})
	}
	return l.Subject.Corner() == corner
}

// rests reports whether a hold point rests on a line.
func rests(l *record.Line, st *live.Standing) bool {
	for _, v := range st.Verdicts.List {
		if slices.Contains(v.Entries, l.ID) || v.Undone == l.ID || v.Waiver != nil && v.Waiver.At == l.ID {
			return true
		}
	}
	return false
}
