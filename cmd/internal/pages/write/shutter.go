package write

import (
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// shutter is the biggest thing on the page: what to photograph, and what was.
type shutter struct {
	Say     string // what to photograph now
	Why     string // what is said beside it
	Role    string // the picture's role, where there is no choice
	Roles   []role // where there is
	Free    bool   // the role is typed
	Quick   bool   // a script sends the picture by itself
	Snaps   []snapped
	Trouble string // why the last one was not taken in
	Ghost   *ghost // what is laid over the live picture, nil for nothing
	Wanted  bool   // a picture is missing: the camera need not wait to be asked
	Marks   []marking
	At      string // before the names of its fields, where the form is one of several
	Mark    string // and behind their ids
}

// ghost is a photograph from before, with which the new one is lined up.
type ghost struct {
	Path string
	Says string
	On   bool // it shows the same, and need not be asked for
}

// Marked reports whether a place is marked already.
func (s shutter) Marked() bool {
	return slices.ContainsFunc(s.Marks, func(m marking) bool { return m.Places > 0 })
}

type role struct {
	Shows string
	On    bool
}

// snapped is a photograph of the draft.
type snapped struct {
	Ref, Role string
	Findings  []string
	Fresh     bool // it was taken just now
}

// pictured reports whether a photograph says something beside the entry. It
// does of work, and of whatever the form of a thing of the register names;
// neither people nor words on an order, nor what is only chosen, are
// photographed.
func (t *task) pictured() bool {
	switch {
	case t.kind == journal.PhotoWithdrawn, t.pair != nil, t.subject.Word() == "person":
		return false
	case t.subject.Job() != "", t.subject.Run() != "":
		return true
	}
	return len(t.kind.Places()) == 0 || t.sheet.Shows != ""
}

func (t *task) shutter(st *state) shutter {
	s := shutter{Trouble: st.trouble, Why: t.where(), Say: "Take a photograph"}
	for _, p := range st.draft.Photos {
		s.Snaps = append(s.Snaps, snapped{Ref: p.Ref.Hex(), Role: p.Role, Findings: p.Findings, Fresh: slices.Contains(st.taken, p.Ref)})
	}
	if len(s.Snaps) > 0 {
		s.Say = "Take another photograph"
	}
	roles, missing := t.pictures(st.draft)
	s.Free = len(roles) == 0 && t.kind == journal.PhotoTaken
	s.Wanted, s.Ghost = missing != "", t.ghost(missing)
	if missing != "" {
		s.Say = "Photograph: " + missing
		if t.at != nil {
			if before := t.at.before(); before != "" {
				s.Why += ". It is out of sight after “" + before + "”"
			}
		}
	}
	switch len(roles) {
	case 0:
	case 1:
		s.Role = roles[0]
	default:
		for _, shows := range roles {
			s.Roles = append(s.Roles, role{Shows: shows, On: shows == missing})
		}
	}
	return s
}

// ghost is the same view from before, where there is one.
func (t *task) ghost(role string) *ghost {
	job := t.snap.Job(t.subject.Job())
	if job == nil || t.rack {
		return nil
	}
	seen, same := t.snap.Stock().SeenBefore(job, t.subject, role)
	if seen == nil {
		return nil
	}
	return &ghost{Path: "/thumb/" + seen.Thumb.Hex(), Says: words.Capital(words.Commas(pages.Place(seen.Line.Subject), seen.Role)), On: same || slices.Contains(facts.WentBack(), t.kind)}
}

// pictures are the roles that a picture may be given, and the first that is
// wanted and not there, neither in the record nor in the draft.
func (t *task) pictures(d draft.Draft) (roles []string, missing string) {
	roles = slices.Clone(t.roles)
	if t.sheet.Shows != "" {
		roles = append(roles, t.sheet.Shows)
	}
	wanted := roles
	if t.at != nil {
		all, lacking := t.at.pictures(t.kind)
		roles, wanted = append(all, roles...), all[:lacking]
	}
	for _, shows := range wanted {
		if !slices.ContainsFunc(d.Photos, func(p draft.Photo) bool { return p.Role == shows }) {
			return roles, shows
		}
	}
	return roles, ""
}

// where is what the entry is about, as a person says it.
func (t *task) where() string {
	if t.rack {
		return "several parts"
	}
	return pages.Place(t.subject)
}

// blind says that the entry would stand without a photograph that the stage
// wants, or "".
func (t *task) blind(d draft.Draft) string {
	_, missing := t.pictures(d)
	if t.at == nil && !t.rack || missing == "" || len(d.Photos) > 0 {
		return ""
	}
	if t.at == nil {
		return "No photograph yet of “" + missing + "”."
	}
	if before := t.at.before(); before != "" {
		return "No photograph yet of “" + missing + "”: after “" + before + "” it is out of sight."
	}
	return "No photograph yet of “" + missing + "”."
}
