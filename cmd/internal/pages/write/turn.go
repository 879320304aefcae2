package write

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// turn is one of the forms of what is done now. It is the form of its own page,
// with its draft.
type turn struct {
	*task
	key string // before the names of its fields
	st  *state
	on  bool // it is stamped with the others

	then bool // it was on when the page was drawn, and may have been unticked

	data journal.Payload // what it writes, once it was read
}

// now is the page of what is done now at a place: the forms of all entries whose
// turn it is there, which are stamped in one press.
func (w *Writer) now(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	about, err := journal.ParseSubject(r.PathValue("subject"))
	if err != nil || about.Job() == "" || about.Part() != "" {
		w.missing(rw, r, http.StatusNotFound, "What comes next is asked for a job, or for one of its corners.")
		return
	}
	switch st := s.Standing(about.Job()); {
	case st == nil:
		w.missing(rw, r, http.StatusNotFound, noJob(about))
		return
	case st.Card == nil:
		w.missing(rw, r, http.StatusNotFound, noCard)
		return
	}
	p := &nowPage{about: about, Action: pages.NowPath(about)}
	if r.Method == http.MethodPost {
		w.pressed(rw, r, s, p)
		return
	}
	w.turns(r, s, p)
	w.showNow(rw, r, s, p, http.StatusOK)
}

// turns puts the forms of what is to be done at the place on the page, with what is kept
// of each, and where that is done which has no form here.
func (w *Writer) turns(r *http.Request, s *live.Snapshot, p *nowPage) {
	for _, want := range wanted(s, p.about) {
		t, no := w.taskAt(r, s, pathOf(want), want.About)
		if no != nil {
			if want.Kind == journal.ProbeLogged {
				p.recorder(s, want.About, w.May(want.Kind) == nil)
				continue
			}
			if path := kindPath(s, want.Kind, want.About[0]); path != "" && w.May(want.Kind) == nil {
				p.Links = append(p.Links, link{Path: path, Say: titleOf(want.Kind) + " · " + pages.Place(want.About[0])})
			}
			continue
		}
		if t.confirms != "" { // whoever stamps it is asked on its own page
			p.Links = append(p.Links, link{Path: t.path, Say: titleOf(want.Kind) + " · " + pages.Place(want.About[0])})
			continue
		}
		d, err := w.begun(t)
		if err != nil {
			w.Logger.WarnContext(r.Context(), "read a draft", "path", t.path, "error", err)
		}
		one := &turn{task: t, key: strconv.Itoa(len(p.turns)), st: &state{status: http.StatusOK, draft: d}}
		one.on = one.touched()
		p.turns = append(p.turns, one)
	}
}

// recorder has the page take the recorder's file of each bake that parts are in.
func (p *nowPage) recorder(s *live.Snapshot, parts []journal.Subject, may bool) {
	for _, part := range parts {
		runs := runsOf(s, part)
		i := slices.IndexFunc(runs, func(r *record.Run) bool { return slices.Contains(r.What, "bake") })
		if i < 0 || !may {
			continue
		}
		for _, run := range runs[i+1:] { // the newest
			if slices.Contains(run.What, "bake") {
				runs[i] = run
			}
		}
		one := link{Path: recorderPath(runs[i].ID, p.about), Say: string(runs[i].ID)}
		if !slices.Contains(p.Recorders, one) {
			p.Recorders = append(p.Recorders, one)
		}
	}
}

// wanted lists the entries whose turn it is at a place, and those that are written in one
// go with them.
func wanted(s *live.Snapshot, about journal.Subject) []route.Wanted {
	st := s.Standing(about.Job())
	return slices.DeleteFunc(route.Turn(st.Card, st.Rows, st.Next, st.Ahead()), func(want route.Wanted) bool {
		return !slices.ContainsFunc(want.About, func(at journal.Subject) bool { return facts.Covers(about, at) || facts.Covers(at, about) })
	})
}

// pathOf is the page that an entry would have alone.
func pathOf(want route.Wanted) string {
	about := want.About[0]
	if len(want.About) > 1 || want.Kind == journal.BakeStarted {
		return "/run/new/" + string(want.Kind)
	}
	path := pages.StagePath(want.Stage, about) + "?kind=" + url.QueryEscape(string(want.Kind))
	if want.Joint != "" {
		path += "&" + url.Values{"joint": {want.Joint}}.Encode()
	}
	return path
}

// taskAt makes ready the entry of a page. A run begins with the parts whose turn it is.
func (w *Writer) taskAt(r *http.Request, s *live.Snapshot, path string, turn []journal.Subject) (*task, *refusal) {
	nothing := &refusal{http.StatusNotFound, "There is no such form here."}
	u, err := url.Parse(path)
	if err != nil {
		return nil, nothing
	}
	if kind, ok := strings.CutPrefix(u.Path, "/run/new/"); ok {
		var hung []string
		for _, at := range turn {
			hung = append(hung, string(at))
		}
		return w.runTask(r, s, journal.Kind(kind), hung...)
	}
	stage, about, ok := strings.Cut(strings.TrimPrefix(u.Path, "/stage/"), "/")
	subject, err := journal.ParseSubject(about)
	if !ok || err != nil {
		return nil, nothing
	}
	kind := journal.Kind(u.Query().Get("kind"))
	at := find(s, stage, subject)
	if at == nil || !slices.Contains(at.Stage.Kinds(), kind) || len(kind.Places()) > 0 && !slices.Contains(kind.Places(), subject.Word()) {
		return nil, nothing
	}
	return w.stageTask(r, s, at, kind, u.Query())
}

// touched reports whether something was answered or photographed that the form did
// not start with.
func (t *turn) touched() bool {
	return len(t.st.draft.Photos) > 0 || len(t.st.draft.Values) > 0 && !alike(t.st.draft.Values, t.start)
}

// alike reports whether two forms hold the same answers. A unit beside an empty
// field answers nothing.
func alike(a, b form.Values) bool {
	says := func(a, b form.Values) bool {
		for name := range a {
			if !strings.HasSuffix(name, ".unit") && strings.Join(a[name], "\n") != strings.Join(b[name], "\n") {
				return false
			}
		}
		return true
	}
	return says(a, b) && says(b, a)
}

// pressed does what was pressed on the page.
func (w *Writer) pressed(rw http.ResponseWriter, r *http.Request, s *live.Snapshot, p *nowPage) {
	in := newPosted()
	in.of = make(map[string]*posted)
	if err := w.read(rw, r, in, func(one *posted) journal.Subject { return subjectOf(one.path, p.about) }); err != nil {
		w.missing(rw, r, http.StatusRequestEntityTooLarge, "What was sent is not a form of this page, or holds more than its entries can. Nothing was written.")
		return
	}
	if in.do != saveDo && w.Drafts.Spent(in.token) {
		w.stale(rw, r, s, p, in)
		return
	}
	turns := make(map[string][]journal.Subject)
	for _, want := range wanted(s, p.about) {
		turns[pathOf(want)] = want.About
	}
	for key, one := range in.of {
		t, no := w.taskAt(r, s, one.path, turns[one.path])
		if no != nil {
			p.Notice = "One of the forms has no place here any more. " + no.say
			continue
		}
		one.aside, one.cut = r.Header.Get("X-Part") == "photos", in.cut
		p.turns = append(p.turns, &turn{task: t, key: key, st: w.keep(r, t, one)})
		last := p.turns[len(p.turns)-1]
		last.on, last.then = one.now || last.touched() && !one.then, one.then
	}
	slices.SortFunc(p.turns, func(a, b *turn) int { return cmp.Or(cmp.Compare(len(a.key), len(b.key)), cmp.Compare(a.key, b.key)) })
	if in.trouble != "" {
		p.Notice = in.trouble
	}
	if in.do == saveDo && p.Notice == "" {
		w.saveAll(rw, r, s, p, in)
		return
	}
	w.answerNow(rw, r, s, p)
}

// stale answers a page whose entries are written: there is nothing to keep, and nothing is
// said to be kept.
func (w *Writer) stale(rw http.ResponseWriter, r *http.Request, s *live.Snapshot, p *nowPage, in *posted) {
	if r.Header.Get("X-Part") == "figure" {
		rw.WriteHeader(http.StatusConflict)
		return
	}
	for key, one := range in.of {
		if t, no := w.taskAt(r, s, one.path, nil); no == nil && len(one.shots) > 0 {
			p.turns = append(p.turns, &turn{task: t, key: key, st: &state{trouble: stampedAlready}})
		}
	}
	w.answerNow(rw, r, s, p)
}

// addressed gives a press that begins with the key of a form to that form.
func (in *posted) addressed() {
	verb, rest, _ := strings.Cut(in.do, ":")
	if key, rest, ok := strings.Cut(rest, keyed); ok && in.of[key] != nil {
		in.of[key].do = verb + ":" + rest
	}
}

// subjectOf is what the form at a path is about, or what the page is.
func subjectOf(path string, page journal.Subject) journal.Subject {
	at, _, _ := strings.Cut(strings.TrimPrefix(path, "/stage/"), "?")
	_, about, _ := strings.Cut(at, "/")
	if s, err := journal.ParseSubject(about); err == nil && s.Job() == page.Job() {
		return s
	}
	return page
}

// keep keeps what was sent of one form, if that is anything new.
func (w *Writer) keep(r *http.Request, t *task, one *posted) *state {
	st := &state{status: http.StatusOK}
	d, err := w.begun(t)
	if st.draft = d; err == nil && len(one.shots) == 0 && one.do == "" && alike(one.values, t.typed(d)) {
		if st.trouble = one.trouble; len(d.Values) == 0 {
			st.draft.Values = one.values // as it was shown, and nothing to be kept
		}
		return st
	}
	st.draft, err = w.kept(t, one)
	if st.trouble = one.trouble; err != nil {
		st.status, st.notice = http.StatusInsufficientStorage, "What was typed could not be kept on this machine’s disk. Do not leave this page."
		if errors.Is(err, draft.ErrTooBig) {
			st.status, st.notice = http.StatusRequestEntityTooLarge, words.Sentence(draft.ErrTooBig.Error())
		}
		w.Logger.ErrorContext(r.Context(), "keep a draft", "path", t.path, "error", err)
	}
	return st
}
