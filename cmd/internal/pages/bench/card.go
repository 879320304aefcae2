package bench

import (
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// cardPage is the route card of a job.
type cardPage struct {
	*live.Standing
	Plate, Looks string
	Places       []placeLink
	Now          []needRow // what is about to go out of sight
	Right        []needRow // what is broken or in doubt
	Next         []needRow // what comes next
	Gone         []needRow // photographs that can be taken no more
	Corners      []journal.Corner
	Rows         []rowView
	Unmet        int // safety holds that forbid handing the vehicle back
	Complaints   []route.Claim
	Wrong        []wrongRow
	Key          []pages.Stamp
}

// Alone is the one corner that the job touches, "" if there are others or none: then the card
// has room for two columns of stages.
func (p cardPage) Alone() journal.Corner {
	if len(p.Corners) != 1 {
		return ""
	}
	return p.Corners[0]
}

// placeLink leads to what is done now at a place.
type placeLink struct{ Path, Say string }

// rowView is a stage with what stands in each column.
type rowView struct {
	Stage *card.Stage
	Free  bool   // its turn has come and something is to be written
	Cells []cell // one for the whole vehicle, else one a corner
}

type cell struct {
	Corner  journal.Corner
	Squares []squareView
	Off     []offer // parts that can come off here
}

// offer is a part that is not in the job yet.
type offer struct {
	Part journal.PartID
	Path string
}

// squareView is one stamp on the card.
type squareView struct {
	Stamp  pages.Stamp
	Path   string
	Anchor string
	Name   string // who it is for, to be read out
	Part   string // shown above when a corner has several
}

func (b *Bench) job(w http.ResponseWriter, r *http.Request) {
	s := b.Live.View(r.Context())
	st := s.Standing(journal.JobID(r.PathValue("job")))
	if st == nil {
		b.missing(w, r, "There is no job "+r.PathValue("job")+" on this tablet. It may still be on another one.")
		return
	}
	b.show(w, r, http.StatusOK, "job", pages.View{Title: st.Job.Name() + " · route card", Data: newCard(st, s), Live: true})
}

func newCard(st *live.Standing, s *live.Snapshot) cardPage {
	p := cardPage{Standing: st, Plate: st.Job.Name(), Looks: looks(st.Job), Unmet: len(st.Verdicts.Unmet()), Complaints: route.OpenClaims(st.Job)}
	list := make([]needRow, 0, len(st.Next))
	for _, t := range st.Next {
		list = append(list, need(t))
	}
	for _, n := range joined(list) {
		t := n.Todo
		switch {
		case st.Job.State != record.Open: // what was left undone is left so
			if t.Task == route.Photograph || t.Task == route.TooLate {
				p.Gone = append(p.Gone, n)
			}
		case t.Task == route.Photograph && t.Urgent:
			p.Now = append(p.Now, n)
		case t.Task == route.PutRight:
			n.Order = order(st, t)
			p.Right = append(p.Right, n)
		case t.Task == route.TooLate:
			p.Gone = append(p.Gone, n)
		case (t.Task == route.WriteDown || t.Task == route.StillOpen) && len(p.Next) < nextShown:
			p.Next = append(p.Next, n)
		}
	}
	p.Corners, p.Wrong = columns(st), wrong(st)
	if st.Card != nil && st.Job.State == record.Open {
		for _, c := range p.Corners {
			p.Places = append(p.Places, placeLink{pages.NowPath(journal.About(st.Job.ID, c, "")), "Now at " + string(c)})
		}
	}
	unasked := false
	for _, row := range st.Rows {
		v := p.row(row, s.Shop)
		if st.Job.State == record.Open && slices.Contains(row.Stage.Wants, journal.PartRemoved) {
			p.offer(&v)
		}
		p.Rows = append(p.Rows, v)
		unasked = unasked || slices.ContainsFunc(row.Squares, route.Square.Unasked)
	}
	for _, state := range []route.State{"", route.Open, route.Met, route.Broken, route.InDoubt, route.Waived} {
		p.Key = append(p.Key, pages.Stamp{State: state})
	}
	if unasked {
		p.Key = append(p.Key, pages.Stamp{Unasked: true})
	}
	return p
}

// order is where the order is settled that a hold point hangs on which is to be
// put right, nil if it hangs on none.
func order(st *live.Standing, t route.Todo) *pages.Order {
	for v := range st.Each() {
		if v.Hold == t.Hold && v.Subject == t.Subject {
			return pages.OrderOf(v)
		}
	}
	return nil
}

// columns are the corners that the job touches.
func columns(st *live.Standing) []journal.Corner {
	var list []journal.Corner
	for _, c := range st.Job.Corners { // in the order of the words
		list = append(list, c.Corner)
	}
	return list
}

func (p *cardPage) row(row route.Row, shop *record.Shop) rowView {
	v := rowView{Stage: row.Stage, Free: slices.ContainsFunc(row.Squares, func(q route.Square) bool { return q.Free && len(q.Lacks) > 0 })}
	if row.Stage.Level == card.OnVehicle {
		v.Cells = []cell{{}}
	} else {
		v.Cells = make([]cell, len(p.Corners))
	}
	for _, q := range row.Squares {
		i := 0
		if row.Stage.Level != card.OnVehicle {
			i = slices.Index(p.Corners, q.Subject.Corner())
		}
		v.Cells[i].Squares = append(v.Cells[i].Squares, squareView{
			Stamp: pages.Pressed(q, shop), Path: pages.StagePath(row.Stage.Name, q.Subject), Anchor: pages.StageAnchor(row.Stage.Name, q.Subject),
			Name: pages.Place(q.Subject) + ", " + row.Stage.Title, Part: part(q.Subject),
		})
	}
	return v
}

// offer names at each corner the parts of the card that did not come off yet:
// with the first entry about it a part is in the job.
func (p *cardPage) offer(v *rowView) {
	for i := range v.Cells {
		c := &v.Cells[i]
		c.Corner = p.Corners[i]
		for _, name := range p.Card.PartNames() {
			there := slices.ContainsFunc(c.Squares, func(q squareView) bool { return q.Part == part(journal.About(p.Job.ID, c.Corner, name)) })
			if !there {
				c.Off = append(c.Off, offer{name, pages.StagePath(v.Stage.Name, journal.About(p.Job.ID, c.Corner, name))})
			}
		}
	}
}

// part is what a square is called on the card: a letter would be a riddle, a
// long name does not fit, and its number tells it from the one before it.
func part(s journal.Subject) string {
	name := string(s.Part())
	base := card.Base(s.Part())
	if len(base) > 8 {
		return base[:7] + "." + strings.TrimPrefix(name, base)
	}
	return name
}
