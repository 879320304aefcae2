package write

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The fields of the page that takes a recorder's file.
const (
	scaleName = "readings" // the unit of the readings
	timesName = "times"    // the unit of elapsed times
	datesName = "dates"    // the order of day and month
	noteName  = "note"
	whereName = "channel." // and the number of a channel: where its probe was
)

// onwardName says in the address at which place work goes on behind the file.
const onwardName = "now"

// recorderPath is the page that takes the file of a run, from the page of what is done now
// at a place.
func recorderPath(run journal.RunID, now journal.Subject) string {
	return "/write/" + string(journal.ProbeLogged) + "/run/" + string(run) + "?" + url.Values{onwardName: {string(now)}}.Encode()
}

// What may be said of where a channel was, beside the name of a bake's probe.
const (
	asNamed  = "" // under the file's own name
	leftOut  = "-"
	bakeName = "=" // and the name that the bake's entry has for the probe
)

// probePage is the page that takes a recorder's file.
type probePage struct {
	Run      *record.Run
	Start    *journal.BakeStart // nil while the run has none
	StartID  journal.EntryID
	Action   string
	Token    string
	File     string
	Problem  string
	Notice   string
	In       unit.TemperatureUnit // of what is shown
	Read     *recorder.Log
	Lasts    string
	Interval string
	Channels []channelPart
	Split    string // that it is more than one entry
	Note     string
	Figure   any
	Default  bool // the figure names the shop's default as a source
	Verdict  Verdict

	Scales, Times, Dates []role
	Asks                 bool // the file leaves something unsaid
}

// channelPart is a channel with where its probe may have been.
type channelPart struct {
	Name  string
	Any   bool   // it has a reading
	Peak  string // in the unit of the shop
	Field string
	Where []where
}

type where struct {
	Value, Say string
	On         bool
}

// probe is the page of temperatures out of a recorder's file: what was read of
// it, and which channel was where.
func (w *Writer) probe(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	run := s.Run(journal.RunID(r.PathValue("run")))
	if run == nil {
		w.missing(rw, r, http.StatusNotFound, "There is no run "+r.PathValue("run")+" here. It may still be on another tablet.")
		return
	}
	if err := w.May(journal.ProbeLogged); err != nil {
		w.missing(rw, r, http.StatusForbidden, words.Sentence(err.Error()))
		return
	}
	t := &task{kind: journal.ProbeLogged, subject: journal.Of("run", string(run.ID)), snap: s, by: w.By(r), title: "The recorder’s file · run " + string(run.ID)}
	t.path = "/write/" + string(t.kind) + "/" + string(t.subject)
	p := &probePage{Run: run, Action: t.path, In: s.Shop.Units.Temperature}
	t.next = func(_ *live.Snapshot, about journal.Subject) string { return home(about) }
	if now, err := journal.ParseSubject(r.URL.Query().Get(onwardName)); err == nil && now.Job() != "" && now.Part() == "" {
		p.Action = recorderPath(run.ID, now)
		t.next = func(*live.Snapshot, journal.Subject) string { return pages.NowPath(now) }
	}
	p.begin()
	if r.Method != http.MethodPost {
		d, err := w.Drafts.Get(t.key())
		if err != nil {
			w.Logger.WarnContext(r.Context(), "read a draft", "path", t.path, "error", err)
		}
		w.showProbe(rw, r, t, p, d, http.StatusOK)
		return
	}
	in, err := w.take(rw, r, t.subject)
	if err != nil {
		w.missing(rw, r, http.StatusRequestEntityTooLarge, "What was sent is not a form of this page, or holds more than an entry can. Nothing was written.")
		return
	}
	d, err := w.keptTrace(t, in)
	status := http.StatusUnprocessableEntity
	switch {
	case errors.Is(err, draft.ErrTooBig):
		p.Problem = "This file is too big to be kept here. Export one bake from the recorder, not all of them."
	case err != nil:
		w.Logger.ErrorContext(r.Context(), "keep a draft", "path", t.path, "error", err)
		p.Problem, status = "The file could not be kept on this machine’s disk. Try again.", http.StatusInsufficientStorage
	case in.trouble != "":
		p.Problem = in.trouble
	case in.do == "save":
		w.saveTrace(rw, r, t, p, in, d)
		return
	default:
		http.Redirect(rw, r, p.Action, http.StatusSeeOther)
		return
	}
	w.showProbe(rw, r, t, p, d, status)
}

// begin finds the bake that the run is.
func (p *probePage) begin() {
	for _, l := range p.Run.Lines {
		if b, ok := l.Effect().(*journal.BakeStart); ok {
			p.Start, p.StartID = b, l.ID
		}
	}
}

// traces are those that the run has.
func (p *probePage) traces() (list []*journal.ProbeTrace) {
	for _, l := range p.Run.Lines {
		if t, ok := l.Effect().(*journal.ProbeTrace); ok {
			list = append(list, t)
		}
	}
	return list
}

// keptTrace keeps the file and what is said about it.
func (w *Writer) keptTrace(t *task, in *posted) (draft.Draft, error) {
	return w.Drafts.Change(t.key(), func(d *draft.Draft) {
		d.Title, d.Values = t.title, in.values
		if in.file != nil {
			// Another file has other channels.
			for name := range d.Values {
				if d.File != nil && strings.HasPrefix(name, whereName) {
					delete(d.Values, name)
				}
			}
			d.File = in.file
		}
		if in.do == "away" {
			d.File = nil
		}
	})
}

// read reads the draft's file; on trouble it says so on the page.
func (p *probePage) read(d draft.Draft) {
	pick := func(name string) string { return strings.Join(d.Values[name], "") }
	f := recorder.Format{Scale: bake.Scale(pick(scaleName)), Time: recorder.TimeUnit(pick(timesName)), Dates: recorder.DateOrder(pick(datesName))}
	p.Scales = options(pick(scaleName), string(bake.Celsius), string(bake.Fahrenheit))
	p.Times = options(pick(timesName), string(recorder.Milliseconds), string(recorder.Seconds), string(recorder.Minutes), string(recorder.Hours))
	p.Dates = options(pick(datesName), string(recorder.DayFirst), string(recorder.MonthFirst))
	p.Note = pick(noteName)
	if d.File == nil {
		return
	}
	p.File = d.File.Name
	read, err := recorder.Read(d.File.Bytes, f)
	if err != nil {
		p.Problem, p.Asks = words.Sentence(err.Error()), true
		return
	}
	p.Read, p.Lasts, p.Interval = read, words.Lasting(read.Lasts), words.Lasting(read.Interval)
	p.Asks = f != recorder.Format{}
	for i, c := range read.Channels {
		field := whereName + strconv.Itoa(i)
		p.Channels = append(p.Channels, channelPart{Name: c.Name, Any: c.Missing < read.Samples, Peak: unit.Show(c.Peak, unit.Celsius, p.In, 1), Field: field, Where: p.where(i, d.Values[field])})
	}
}

// saveTrace writes the trace, in as many entries as it needs.
func (w *Writer) saveTrace(rw http.ResponseWriter, r *http.Request, t *task, p *probePage, in *posted, d draft.Draft) {
	refuse := func(say string) {
		p.Problem = say
		w.showProbe(rw, r, t, p, d, http.StatusUnprocessableEntity)
	}
	if t.by == "" || in.token == "" {
		http.Redirect(rw, r, p.Action, http.StatusSeeOther)
		return
	}
	// A press that is sent twice finds the file gone, or filed.
	id, led := w.Drafts.Led(draft.Press{Token: in.token + ".0", Content: in.token}, func(time.Time) (journal.EntryID, bool) { return journal.EntryID{}, false })
	if d.File == nil {
		if led {
			w.done(rw, r, t, &stamp{ids: []journal.EntryID{id}, again: true})
			return
		}
		refuse("Choose the recorder’s file first.")
		return
	}
	p.read(d)
	if p.Problem != "" {
		refuse(p.Problem)
		return
	}
	filing, err := p.Read.File(p.places(), p.probes(), p.Note, w.Now().Location())
	if err != nil {
		refuse(words.Sentence(err.Error()))
		return
	}
	held := filing.Held(p.traces())
	if !slices.Contains(held, false) {
		if led {
			w.done(rw, r, t, &stamp{ids: []journal.EntryID{id}, again: true})
			return
		}
		refuse("The temperatures of this file are in the record of this run already. Nothing was written.")
		return
	}
	if is := w.recorded(r.Context(), t, filing); is.Verdict.Asks() && in.sure != is.sure {
		p.Verdict = is.Verdict
		p.Verdict.arm(is, saveDo, "trace")
		w.showProbe(rw, r, t, p, d, http.StatusUnprocessableEntity)
		return
	}
	var ids []journal.EntryID
	for i, trace := range filing.Traces {
		if held[i] {
			continue // from a try that failed half way
		}
		press := draft.Press{Token: in.token + "." + strconv.Itoa(i), Content: in.token}
		if id, err = w.write(r.Context(), t, trace, press, nil); err != nil {
			var invalid *journal.Invalid
			if errors.As(err, &invalid) {
				refuse(words.Sentence(invalid.Sentences()))
				return
			}
			w.Logger.ErrorContext(r.Context(), "write a trace", "run", p.Run.ID, "error", err)
			p.Notice = "It could not be written. The file is kept; the log on this machine says why."
			w.showProbe(rw, r, t, p, d, http.StatusInternalServerError)
			return
		}
		ids = append(ids, id)
	}
	w.done(rw, r, t, &stamp{ids: ids, forms: []filledForm{{t.key(), d}}})
}

// recorded works out what the temperatures of a file come to. Where they are
// more than one entry, none of them alone tells.
func (w *Writer) recorded(ctx context.Context, t *task, filing recorder.Filing) (is worked) {
	is.Verdict.Acts = []Act{{saveDo, "Stamp it"}}
	if len(filing.Traces) != 1 || t.by == "" {
		return is
	}
	trace := filing.Traces[0]
	w.suppose(ctx, t, &is, journal.Draft{Subject: t.subject, By: t.by, Data: trace})
	is.seal(t.path, trace.Say(), string(trace.Seconds))
	return is
}

func (w *Writer) showProbe(rw http.ResponseWriter, r *http.Request, t *task, p *probePage, d draft.Draft, status int) {
	if said := p.Problem; p.Read == nil {
		p.read(d)
		if said != "" {
			p.Problem = said
		}
	}
	if p.Read != nil {
		if filing, err := p.Read.File(p.places(), p.probes(), p.Note, w.Now().Location()); err == nil {
			p.Split = filing.Split()
			is := w.recorded(r.Context(), t, filing)
			if p.Figure, p.Default = is.Figure, is.Default; p.Verdict.Armed == "" {
				p.Verdict = is.Verdict
			}
		}
	}
	var err error
	if p.Token, err = w.token(); err != nil {
		w.missing(rw, r, http.StatusInternalServerError, "This form cannot be shown now. Try again.")
		return
	}
	w.page(rw, r, status, "probe", t.snap, pages.View{Title: "The recorder’s file · run " + string(p.Run.ID), Data: p})
}
