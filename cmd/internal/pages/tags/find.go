package tags

import (
	"errors"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// finding is what came of a code.
type finding struct {
	Of    journal.Subject // what it hangs on, "" if nothing may be done with it
	Path  string          // the page of that, "" if there is none here
	Named string          // what it is, as a person says it
	Say   string          // why it is not gone to, "" if it is
	Links []link
}

// link is a way on.
type link struct{ Path, Say string }

// find says what a code hangs on, or what else it is.
func (t *Tags) find(s *live.Snapshot, text string) finding {
	is, err := tag.Parse(strings.TrimSpace(text))
	switch {
	case errors.Is(err, tag.ErrOther):
		return finding{Say: other(text)}
	case err != nil:
		return finding{Say: words.Sentence(err.Error())}
	case is.Shop != s.Shop.ID:
		return finding{Say: "This tag is of another shop. Nothing of this shop hangs on it."}
	}
	switch is.Of.Word() {
	case "tool":
		if s.Stock().ToolNow(journal.ToolID(is.Of.Last()), noTime).Stated == nil {
			return finding{Say: "There is no tool " + is.Of.Last() + " on the shelf here. It may be registered and not have come to this tablet yet."}
		}
		return finding{Of: is.Of, Path: t.Thing(is.Of), Named: "tool " + is.Of.Last()}
	case "run":
		if s.Run(is.Of.Run()) == nil {
			return finding{Say: "There is no run " + is.Of.Last() + " here. It may still be on another tablet."}
		}
		return finding{Of: is.Of, Path: "/run/" + is.Of.Last(), Named: "run " + is.Of.Last()}
	}
	return t.inJob(s, is.Of)
}

// inJob finds a part, or the bag of a corner.
func (t *Tags) inJob(s *live.Snapshot, of journal.Subject) finding {
	job := s.Job(of.Job())
	if job == nil || job.Stated == nil {
		return finding{Say: "The job of this tag is not here. It may still be on another tablet."}
	}
	path := "/job/" + string(job.ID)
	f := finding{Of: of, Path: path, Named: words.Capital(pages.Place(of)) + " of " + job.Name()}
	links := []link{{path, "The job of " + job.Name()}, {"/record/" + string(job.ID), "The record"}}
	if job.State != record.Open {
		return finding{Say: f.Named + ": this car is not in work any more. Its job is " + string(job.State) + ". Take the tag off.", Links: links}
	}
	if of.Part() == "" {
		f.Named = "Bag of " + pages.Place(of) + ", " + job.Name()
		f.Path = "/scan?of=" + string(of)
		return f
	}
	if part, _ := job.Part(of); part == nil {
		return finding{Say: "Nothing is written here yet about " + pages.Place(of) + " of " + job.Name() + ".", Links: links}
	}
	f.Path += "#" + t.square(s, of)
	return f
}

// square is where on the card of its job the turn of a part is.
func (t *Tags) square(s *live.Snapshot, of journal.Subject) string {
	if st := s.Standing(of.Job()); st != nil {
		for _, row := range st.Rows {
			for _, q := range row.Squares {
				if q.Subject == of && q.Free && len(q.Lacks) > 0 {
					return pages.StageAnchor(row.Stage.Name, of)
				}
			}
		}
	}
	return "card"
}

// other says what a code is that is not on a tag.
func other(text string) string {
	switch {
	case strings.HasPrefix(text, "fettlebook receipt"):
		if _, err := evidence.ParseReceipt(text); err == nil {
			return "This is the code of a customer’s receipt and not a tag. It shows whether a record was changed; the desk checks it."
		}
		return "This looks like the code of a customer’s receipt and cannot be read whole."
	case strings.HasPrefix(text, "FETTLE1."):
		return "This is an invitation for a tablet and not a tag. It is used when a new tablet joins."
	case strings.HasPrefix(text, "https://") && strings.Contains(text, "/pair/"):
		return "This code lets a phone use a tablet’s pages. It is not a tag. Read it with the phone’s own camera."
	default:
		return "This code is not on a tag of this shop. Nothing was opened."
	}
}
