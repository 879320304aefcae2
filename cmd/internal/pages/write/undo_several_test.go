package write_test

import (
	"context"
	"net/http"
	"testing"

	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
)

// stampsTwo writes in one press that the right front caliper came off and has a tag.
func (s *shop) stampsTwo() {
	s.t.Helper()
	fields, key := s.forms()
	fields.Set(key[rfOff]+"_now", "yes")
	fields.Set(key[rfTagged]+"tag", "RF-7")
	fields.Set(key[rfTagged]+"metal", "iron")
	s.press(nowPage, fields).to(s.t, nowPage)
}

// TestUndoOfSeveral: what one press wrote is taken back in one press, all of it, and what
// another tablet wrote meanwhile stays.
func TestUndoOfSeveral(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	s.undo = true
	s.start()
	s.stampsTwo()
	off, tagged := s.lines(journal.PartRemoved), s.lines(journal.PartTagged)
	first := off[len(off)-1].ID
	s.get(nowPage).want(t, http.StatusOK, "<b>Stamped:</b>", "2 entries. The first: RF caliper", `action="`+undoPath(first)+`"`)
	s.write(lf, &journal.Remark{Evidence: journal.Evidence{Note: "hose is old"}}) // by another tablet
	s.post(undoPath(first), nil, "").to(t, nowPage)
	s.post(undoPath(first), nil, "").to(t, nowPage) // pressed twice
	for _, id := range []journal.EntryID{first, tagged[len(tagged)-1].ID} {
		if l := s.live.View(t.Context()).Line(id)[0]; l.Effect() != nil || l.Struck == nil {
			t.Errorf("%s still stands", l.Kind)
		}
	}
	if n := len(s.lines(journal.EntryCorrected)); n != 2 {
		t.Errorf("%d corrections of two entries", n)
	}
	if s.lines(journal.NoteMade)[0].Effect() == nil {
		t.Error("what another tablet wrote was taken back too")
	}
	s.get(nowPage).want(t, http.StatusOK, "<b>Taken back:</b>", `value="RF-7"`)
}

// tired is a store that writes one entry alone and then no other.
type tired struct {
	write.Store
	wrote bool
}

func (s *tired) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	if s.wrote {
		return nil, journal.ErrDiskLow
	}
	s.wrote = true
	return s.Store.Append(ctx, d)
}

// What one press wrote is taken back whole or not at all.
func TestUndoOfSeveralIsWhole(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	s.undo, s.store = true, &tired{Store: s.f}
	s.start()
	s.stampsTwo()
	off := s.lines(journal.PartRemoved)
	s.post(undoPath(off[len(off)-1].ID), nil, "").to(t, nowPage)
	if n := len(s.lines(journal.EntryCorrected)); n != 2 {
		t.Errorf("%d of two entries are taken back", n)
	}
}
