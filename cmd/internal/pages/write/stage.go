package write

import (
	"net/http"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// stage is the page of a stage of a job's card at a place: the form of what is
// lacking first, what is there, and its hold points.
func (w *Writer) stage(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	about, err := journal.ParseSubject(r.PathValue("subject"))
	if err != nil {
		w.missing(rw, r, http.StatusNotFound, words.Sentence(err.Error()))
		return
	}
	at := find(s, r.PathValue("stage"), about)
	switch st := s.Standing(about.Job()); {
	case at != nil:
	case st == nil:
		w.missing(rw, r, http.StatusNotFound, noJob(about))
		return
	case st.Card == nil:
		w.missing(rw, r, http.StatusNotFound, noCard)
		return
	default:
		w.missing(rw, r, http.StatusNotFound, "The job’s route card has no stage “"+r.PathValue("stage")+"” for "+pages.Place(about)+".")
		return
	}
	kind := journal.Kind(r.URL.Query().Get("kind"))
	if kind == "" {
		kind = at.first()
	}
	places := kind.Places()
	if kind != "" && !slices.Contains(at.Stage.Kinds(), kind) {
		w.missing(rw, r, http.StatusNotFound, "The stage “"+at.Stage.Title+"” has no entry "+string(kind)+".")
		return
	}
	if kind == "" || len(places) > 0 && !slices.Contains(places, about.Word()) {
		w.show(rw, r, &task{kind: kind, snap: s, subject: about, at: at, by: w.By(r)}, &state{status: http.StatusOK})
		return
	}
	t, no := w.stageTask(r, s, at, kind, r.URL.Query())
	if no != nil {
		w.missing(rw, r, no.status, no.say)
		return
	}
	w.serve(rw, r, t)
}

// noCard says why the stages of a job are not known.
const noCard = "The route card of this job is not here yet, so its stages are not known. It comes when the hub can be reached; a single entry can be written from the job’s page."

func noJob(about journal.Subject) string {
	return "There is no job " + string(about.Job()) + " here. It may still be on another tablet."
}

// stageTask makes ready an entry of a stage at its place. What a link says of the
// form's fields, such as which joint is meant, is taken into it.
func (w *Writer) stageTask(r *http.Request, s *live.Snapshot, at *place, kind journal.Kind, query url.Values) (*task, *refusal) {
	about := at.Square.Subject
	t, no := w.task(r, s, kind, about)
	if no != nil {
		return nil, no
	}
	t.at = at
	t.path = pages.StagePath(at.Stage.Name, about) + "?kind=" + url.QueryEscape(string(kind))
	if said := t.said(query); len(said) > 0 {
		t.path += "&" + said.Encode()
	}
	t.foresee(w.Now())
	w.foreseeLook(t)
	t.next = func(s *live.Snapshot, _ journal.Subject) string {
		if now := find(s, at.Stage.Name, about); now != nil && len(now.Square.Lacks) > 0 {
			return pages.StagePath(at.Stage.Name, about)
		}
		return home(about) + "#" + pages.StageAnchor(at.Stage.Name, about)
	}
	return t, nil
}
