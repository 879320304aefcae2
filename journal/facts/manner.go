package facts

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// From where on the manner in which a record was written is worth a word. Common
// practice, no source: who stamps a soak when it is over writes its hour in a
// second, so only what the stamps leave no room for by far counts.
const (
	leastStated = 10 * time.Minute // of stated work, or nothing is said
	roomFor     = 2                // the stamps lie within less than one part in so many of it
	cameraOff   = 10 * time.Minute // a camera's clock may be off by as much
)

// Manner states what is out of the ordinary about how the record of the job
// came about, for whoever weighs it: work that was written up together, one
// photograph that stands for several things, photographs older than the job.
// Each can have a good reason, and none is an accusation.
func (w *Job) Manner() []Statement {
	var list []Statement
	for _, s := range []*Statement{w.writtenUp(), w.pictureAgain(), w.oldPictures()} {
		if s != nil {
			list = append(list, *s)
		}
	}
	return list
}

// writtenUp states that the stamps on parts lie closer together than the work
// that they state took. What is stamped first on a part is left out: it was
// done before.
func (w *Job) writtenUp() *Statement {
	var parts []string
	var span, stated time.Duration
	var from, to *record.Line
	for _, c := range w.corners {
		for _, p := range c.parts {
			took, first, last := p.stamps()
			within, _ := elapsed(first, last)
			if took < leastStated || within < 0 || within*roomFor >= took {
				continue
			}
			parts = append(parts, p.part.Subject.Within())
			if span = max(span, within); took > stated {
				stated, from, to = took, first, last
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	s := Statement{About: w.about(), Quantity: WrittenUp, Value: minutes(span), Unit: "min", Sure: Reckoned, in: w.stock.Writing(),
		With: []Figure{Figure{Name: "stated", Value: minutes(stated), Unit: "min"}, with("parts", words.And(parts...))}}.on(from, to)
	return &s
}

// stamps returns how long the work took that the entries of a part state, those
// of its runs with it, without the first; and the first and the last of them.
// Of several entries on one run, such as a bake's temperatures and its end, the
// longest counts.
func (p *partWork) stamps() (took time.Duration, first, last *record.Line) {
	runs := make(map[journal.RunID]time.Duration)
	for i, e := range p.events {
		if i == 0 {
			first = e.Line
		}
		last = e.Line
		d := said(e.Data)
		switch run := e.Line.Subject.Run(); {
		case i == 0:
		case run == "":
			took += d
		case d > runs[run]:
			took += d - runs[run]
			runs[run] = d
		}
	}
	return took, first, last
}

// said returns how long an entry says that work took: its durations, or those
// of its temperatures.
func said(data journal.Payload) (sum time.Duration) {
	if trace, ok := data.(*journal.ProbeTrace); ok {
		return time.Duration(trace.Seconds.Last() * float64(time.Second))
	}
	v := reflect.ValueOf(data).Elem()
	for i := range v.NumField() {
		if d, ok := v.Field(i).Interface().(unit.Duration); ok && !d.IsZero() {
			sum += time.Duration(d.In(unit.Second) * float64(time.Second))
		}
	}
	return sum
}

// pictureAgain states that one photograph stands for several things: it is
// named by several entries under several roles.
func (w *Job) pictureAgain() *Statement {
	type used struct {
		lines []*record.Line
		roles []string
	}
	all := make(map[media.Ref]*used)
	var order []media.Ref
	for _, e := range w.all {
		for _, p := range e.Line.Photos {
			u := all[p.Ref]
			if u == nil {
				u = new(used)
				all[p.Ref], order = u, append(order, p.Ref)
			}
			if !slices.Contains(u.lines, e.Line) {
				u.lines = append(u.lines, e.Line)
			}
			if p.Role != "" && !slices.ContainsFunc(u.roles, func(r string) bool { return SameRole(r, p.Role) }) {
				u.roles = append(u.roles, p.Role)
			}
		}
	}
	var most *used
	pictures := 0
	for _, ref := range order {
		u := all[ref]
		if len(u.lines) < 2 || len(u.roles) < 2 {
			continue
		}
		if pictures++; most == nil || len(u.lines) > len(most.lines) {
			most = u
		}
	}
	if pictures == 0 {
		return nil
	}
	s := Statement{About: w.about(), Quantity: PictureAgain, Value: strconv.Itoa(len(most.lines)), Sure: Reckoned, in: w.stock.Writing(),
		With: []Figure{with("roles", strconv.Itoa(len(most.roles))), with("photographs", strconv.Itoa(pictures))}}.on(most.lines...)
	return &s
}

// oldPictures states that photographs were taken before the job was opened, by
// their cameras' clocks.
func (w *Job) oldPictures() *Statement {
	if w.job.Opened == nil {
		return nil
	}
	opened := time.Time(w.job.Opened.Clocks.Device)
	var lines []*record.Line
	var oldest time.Time
	old := make(map[media.Ref]bool)
	for _, e := range w.all {
		for _, p := range e.Line.Photos {
			taken, ok := media.CameraTime(string(p.Taken), time.Time(e.Line.Clocks.Device).Location())
			if !ok || opened.Sub(taken) <= cameraOff {
				continue
			}
			if oldest.IsZero() || taken.Before(oldest) {
				oldest = taken
			}
			if old[p.Ref] = true; !slices.Contains(lines, e.Line) {
				lines = append(lines, e.Line)
			}
		}
	}
	if len(old) == 0 {
		return nil
	}
	s := Statement{About: w.about(), Quantity: OldPictures, Value: strconv.Itoa(len(old)), Sure: Reckoned, in: w.stock.Writing(),
		With: []Figure{Figure{Name: "oldest", Value: words.Moment(oldest), told: w.stock.Writing().Moment(oldest)}, w.stock.told("opened", w.job.Opened.Clocks.Device)}}.on(lines...)
	return &s
}

func (w *Job) about() journal.Subject { return journal.About(w.job.ID, "", "") }

// mannerWords says how a record came about.
func (s Statement) mannerWords() string {
	switch s.Quantity {
	case WrittenUp:
		return fmt.Sprintf("written up together: the entries of %s were stamped within %s, and state %s of work", s.Has("parts"), words.Choose(s.Value == "0", "a minute", s.Figure()), s.Has("stated"))
	case PictureAgain:
		text := fmt.Sprintf("one photograph stands in %s entries under %s different names", s.Value, s.Has("roles"))
		if n := s.Has("photographs"); n != "1" {
			text += fmt.Sprintf("; %s photographs stand for several things", n)
		}
		return text
	case OldPictures:
		return fmt.Sprintf("%s taken before the job was opened at %s, by the camera’s clock; the oldest on %s", taken(s.Value), s.Has("opened"), s.Has("oldest"))
	}
	return ""
}

func taken(n string) string {
	if n == "1" {
		return "1 photograph was"
	}
	return n + " photographs were"
}
