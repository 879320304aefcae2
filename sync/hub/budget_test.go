package hub

import (
	"testing"
	"time"
)

// What is spent counts for as long as a budget goes back, and no longer, also where a
// clock is set back.
func TestBudgetSlides(t *testing.T) {
	b := budget{bytes: 100, messages: 10, over: 20 * time.Minute}
	at := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	var s spent
	for _, c := range []struct {
		after    time.Duration
		bytes, n int64
		over     bool
	}{
		{0, 60, 1, false}, {10 * time.Minute, 40, 1, false}, {11 * time.Minute, 1, 1, true},
		{21 * time.Minute, 59, 1, false}, // the first sixty are past
		{22 * time.Minute, 0, 6, false}, {22 * time.Minute, 0, 2, true},
		{-time.Hour, 0, 1, true}, // set back: nothing is forgiven
		{3 * time.Hour, 100, 10, false}, {400 * 24 * time.Hour, 100, 10, false}, {400 * 24 * time.Hour, 1, 0, true},
	} {
		if got := s.spend(b, at.Add(c.after), c.bytes, c.n); got != c.over {
			t.Errorf("%d bytes in %d messages after %v: over %v", c.bytes, c.n, c.after, got)
		}
	}
}

// A tablet that is back from a month away, on the fastest network there is and on the
// worst, uses at most a fourth of each budget.
func TestHonestWorkIsNeverCutOff(t *testing.T) {
	const (
		entries, entryBytes  = 10_000, 2 << 10
		photos, thumb, photo = 1000, 64 << 10, 4 << 20
		segment, piece       = 768 << 10, 256 << 10
	)
	sent := int64(entries*entryBytes + photos*thumb)
	// What was not answered within ten seconds is sent again: for ten minutes by both of
	// the places from which a tablet asks.
	const repeats = 10 * 60 / 10
	need := map[purse][2]int64{ // bytes and messages
		writing: {sent, sent/segment + entries/10}, // some were written one by one
		showing: {photos * photo, photos * photo / piece},
		asking:  {0, 2*photos + 60*20*6}, // of photographs, and in the rounds of a minute in which a program writes as fast as it can
		again:   {repeats * segment, repeats},
		waste:   {repeats * (segment + piece), 2 * repeats},
		// Four segments are under way when a line stops answering, and then one; three
		// tries are within twenty seconds.
		rush:   {(4+1+1)*segment + 3*piece, 9},
		giving: {sent, sent / segment},
	}
	for name, took := range map[string]time.Duration{"at once": 0, "in a day": 24 * time.Hour} {
		for p, n := range need {
			var s spent
			now := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
			const steps = 100
			for step := range steps {
				s.spend(budgets[p], now.Add(took*time.Duration(step)/steps), n[0]/steps, n[1]/steps)
			}
			if part := budgets[p].share(s.sum()); part > 0.25 {
				t.Errorf("%s, %s: %.2f of the budget, want a fourth at most", name, budgets[p].of, part)
			}
		}
	}
}
