package journal_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
)

// How much counts of a log, and why not the rest, in whatever order the
// register says it.
func TestClosings(t *testing.T) {
	const lost = journal.DeviceID("t3fz8c1n")
	revoked := &journal.Revocation{Device: lost, Reason: "lost"}
	forked := &journal.ForkFound{Device: lost}
	upTo := func(n int64) journal.Payload { return &journal.LogClosing{Device: lost, Counts: n} }
	for _, c := range []struct {
		what   string
		says   []journal.Payload
		counts int64
		closed bool
		branch journal.Branch
	}{
		{"nothing", nil, 0, false, journal.RevokedBranch},
		{"revoked, and not closed yet", []journal.Payload{revoked}, 0, false, journal.RevokedBranch},
		{"revoked", []journal.Payload{revoked, upTo(7)}, 7, true, journal.RevokedBranch},
		{"two histories", []journal.Payload{forked, upTo(7)}, 7, true, journal.RestoredBranch},
		{"two histories, and revoked", []journal.Payload{forked, upTo(7), revoked}, 7, true, journal.RestoredBranch},
		{"revoked, and two histories then", []journal.Payload{revoked, upTo(7), forked, upTo(3)}, 3, true, journal.RestoredBranch},
		{"closed, and neither", []journal.Payload{upTo(7)}, 7, true, journal.RevokedBranch},
		{"closed twice", []journal.Payload{upTo(3), upTo(7)}, 3, true, journal.RevokedBranch},
		{"another log", []journal.Payload{&journal.ForkFound{Device: "bench-2"}, &journal.LogClosing{Device: "bench-2", Counts: 1}}, 0, false, journal.RevokedBranch},
		{"the hub’s, brought back from a copy", []journal.Payload{forked, &journal.LogParting{Device: lost, Common: 5}}, 5, true, journal.RestoredBranch},
	} {
		t.Run(c.what, func(t *testing.T) {
			for _, says := range [][]journal.Payload{c.says, slices.Collect(func(yield func(journal.Payload) bool) {
				for _, p := range slices.Backward(c.says) {
					if !yield(p) {
						return
					}
				}
			})} {
				var is journal.Closings
				for _, p := range says {
					is.Read(p)
				}
				counts, closed := is.Counts(lost)
				if branch := is.Branch(lost); counts != c.counts || closed != c.closed || branch != c.branch {
					t.Errorf("%d, %t, %s; want %d, %t, %s", counts, closed, branch, c.counts, c.closed, c.branch)
				}
			}
		})
	}
}
