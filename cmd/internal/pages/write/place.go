package write

import (
	"net/url"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// place is a stage of a job's card at the vehicle, a corner or a part.
type place struct {
	*live.Standing
	Stage  *card.Stage
	Square *route.Square
}

// find looks for the square of a stage; nil if the card has none there.
func find(s *live.Snapshot, stage string, about journal.Subject) *place {
	st := s.Standing(about.Job())
	if st == nil {
		return nil
	}
	for _, row := range st.Rows {
		if row.Stage.Name != stage {
			continue
		}
		for i := range row.Squares {
			if row.Squares[i].Subject == about {
				return &place{Standing: st, Stage: row.Stage, Square: &row.Squares[i]}
			}
		}
		if newPart(row.Stage, about) {
			return &place{Standing: st, Stage: row.Stage, Square: coming(row.Stage, about)}
		}
	}
	return nil
}

// newPart reports whether a part may come into the job at the stage: the one
// at which parts come off.
func newPart(stage *card.Stage, about journal.Subject) bool {
	return about.Word() == "job/corner/part" && slices.Contains(about.Corner().Words(), string(about.Corner())) && slices.Contains(stage.Wants, journal.PartRemoved)
}

// coming is the square of a part that is not in the job yet.
func coming(stage *card.Stage, about journal.Subject) *route.Square {
	q := &route.Square{Subject: about, Lacks: stage.Wants, Free: true}
	for _, p := range stage.Photos {
		q.Blind, q.Roles = append(q.Blind, p.Shows), append(q.Roles, p.Shows)
	}
	return q
}

// first is the kind that the page opens with: what is lacking, what a hold lacks
// for which something is written already, a picture that is lacking, or what the
// stage may have again while a hold of it is not met. It is "" when all is there.
func (p *place) first() journal.Kind {
	if len(p.Square.Lacks) > 0 {
		return p.Square.Lacks[0]
	}
	for i := range p.Square.Holds {
		v := &p.Square.Holds[i]
		if v.State == route.Open && p.Stage.Level != card.OnCorner { // it waits for other stages
			continue
		}
		if k := v.Answer(p.Stage); k != "" && len(p.Square.Lines) > 0 {
			return k
		}
	}
	switch {
	case len(p.Square.Blind) > 0:
		return journal.PhotoTaken
	case len(p.Stage.Wants) > 0 && slices.ContainsFunc(p.Square.Holds, p.waits):
		return p.Stage.Wants[len(p.Stage.Wants)-1]
	}
	return ""
}

// waits reports whether a hold wants something written. What can only be
// judged later is not a gap in the work of the stage.
func (p *place) waits(v route.Verdict) bool {
	_, hold := p.Card.Hold(v.Hold)
	return v.State == route.Broken || v.State == route.InDoubt || v.State == route.Open && hold != nil && hold.Once == ""
}

// pictures are the roles that the stage wants with a kind by now, those that are
// not there yet first. On its own a photograph may be any of them.
func (p *place) pictures(kind journal.Kind) (roles []string, lacking int) {
	for _, blind := range []bool{true, false} {
		for _, pic := range p.Stage.Photos {
			if (pic.On == kind || kind == journal.PhotoTaken) && slices.Contains(p.Square.Blind, pic.Shows) == blind && slices.Contains(p.Square.Roles, pic.Shows) && !slices.Contains(roles, pic.Shows) {
				roles = append(roles, pic.Shows)
			}
		}
		if blind {
			lacking = len(roles)
		}
	}
	return roles, lacking
}

// before is the title of the stage after which pictures of this one can be
// taken no more, or "".
func (p *place) before() string {
	behind := false
	for i := range p.Card.Stages {
		stage := &p.Card.Stages[i]
		if behind && stage.OutOfSight {
			return stage.Title
		}
		behind = behind || stage.Name == p.Stage.Name
	}
	return ""
}

// kindPath is the page that writes a kind about a subject, or about the run
// of it that is meant. It is "" where the kind has no place.
func kindPath(s *live.Snapshot, kind journal.Kind, about journal.Subject) string {
	places := kind.Places()
	switch {
	case len(places) == 0 || slices.Contains(places, about.Word()):
		return "/write/" + string(kind) + "/" + string(about)
	case !slices.Contains(places, "run"):
		return ""
	case kind != journal.BakeStarted:
		for _, run := range slices.Backward(runsOf(s, about)) {
			if slices.Contains(run.What, "bake") {
				return "/write/" + string(kind) + "/run/" + string(run.ID)
			}
		}
	}
	query := url.Values{}
	for _, p := range partsOf(s, about) {
		query.Add(partsName, string(p.Subject))
	}
	return "/run/new/" + string(journal.BakeStarted) + "?" + query.Encode()
}

// home is the page to which a subject belongs.
func home(about journal.Subject) string {
	word, name, _ := strings.Cut(string(about), "/")
	switch word {
	case "job":
		return "/job/" + string(about.Job())
	case "run":
		return "/run/" + name
	case "person", "device":
		return "/people"
	case "route":
		return "/routes"
	}
	if journal.OnShelf(word) {
		return "/shelf"
	}
	return "/"
}
