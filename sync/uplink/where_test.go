package uplink_test

import (
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"fettlebook/sync/segment"
)

// A tablet hears where its hub is to be found, in each run of the hub and now and then, and
// believes nothing that is not an address; a hub from before the question holds up nothing.
func TestWhere(t *testing.T) {
	t.Parallel()
	for name, trial := range map[string]struct {
		says any
		want []string
	}{
		"honest":  {segment.WhereReply{Brokers: []string{"192.0.2.7:7461", "office.lan:7461", "[fd00::7]:7461"}}, []string{"192.0.2.7:7461", "office.lan:7461", "[fd00::7]:7461"}},
		"nothing": {segment.WhereReply{}, nil},
		"earlier": {segment.Answer{Refused: "the hub does not know this question; update fettlebook at the hub"}, nil},
		"no addresses": {segment.WhereReply{Brokers: []string{"", ":7461", "192.0.2.7", "192.0.2.7:0", "192.0.2.7:65536", "192.0.2.7:http", strings.Repeat("a", 254) + ":7461", "192.0.2.8:7461"}},
			[]string{"192.0.2.8:7461"}},
		"too many": {segment.WhereReply{Brokers: slices.Repeat([]string{"192.0.2.7:7461"}, 100)}, slices.Repeat([]string{"192.0.2.7:7461"}, segment.MostBrokers)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.twist[segment.Where] = func(any) any { return trial.says }
				r.run()
				r.rounds()
				r.settled()
				if heard := r.heard(); !slices.Equal(heard, trial.want) {
					t.Errorf("heard %q, want %q", heard, trial.want)
				}
				r.mu.Lock()
				first := r.asked[segment.Where]
				r.began++
				r.mu.Unlock()
				r.rounds()
				r.mu.Lock()
				defer r.mu.Unlock()
				if again := r.asked[segment.Where]; first != 1 || again != 2 {
					t.Errorf("asked %d times in one run of the hub, and %d in two", first, again)
				}
			})
		})
	}
}
