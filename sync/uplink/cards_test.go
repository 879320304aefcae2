package uplink_test

import (
	"crypto/rand"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
)

func (r *rig) card(db *sqlitelog.DB, clock *journal.Clock, id journal.CardID, name string) {
	r.t.Helper()
	c, err := journal.NewCard(id, journal.Details{Name: name}, rand.Reader)
	must(r.t, err)
	c.Written, err = clock.Next()
	must(r.t, err)
	must(r.t, db.SaveCard(r.t.Context(), journal.CardState{Card: c, Changed: c.Written}))
}

// Cards travel both ways, the newest wins here, each travels once in a run of
// the hub, and all again when the hub began anew.
func TestCards(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		clock := journal.NewClock(time.Now, rand.Reader)
		const shared = journal.CardID("c0000000")
		r.card(r.hub, clock, shared, "as it was")
		r.card(r.db, clock, shared, "as it is")
		for i := range 3 {
			r.card(r.db, clock, journal.CardID(fmt.Sprintf("c1%06d", i)), "up")
			r.card(r.hub, clock, journal.CardID(fmt.Sprintf("c2%06d", i)), "down")
		}
		r.run()
		r.rounds()
		r.settled()
		for id, want := range map[journal.CardID]string{shared: "as it is", "c2000000": "down", "c2000002": "down"} {
			if c, err := r.db.Card(t.Context(), id); err != nil || c.Details.Name != want {
				t.Errorf("card %s here: %q, %v, want %q", id, c.Details.Name, err, want)
			}
		}
		up := map[journal.CardID]int{}
		for _, s := range r.cards {
			up[s.Card.Card]++
		}
		for _, id := range []journal.CardID{shared, "c1000000", "c1000001", "c1000002"} {
			if up[id] != 1 {
				t.Errorf("card %s travelled up %d times, want once", id, up[id])
			}
		}
		travelled := len(r.cards)
		r.rounds()
		if len(r.cards) != travelled {
			t.Errorf("%d cards travelled up again", len(r.cards)-travelled)
		}
		r.mu.Lock()
		r.began++
		r.mu.Unlock()
		r.rounds()
		if len(r.cards) < 2*4 {
			t.Errorf("%d cards went to a hub that began anew, want all again", len(r.cards)-travelled)
		}
	})
}
