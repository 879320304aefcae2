package shoptest_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"
)

func TestEntriesReachTheHubAndEachOther(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(20)
	two.Append(30)
	shop.Settle()
	one.Append(1)
	shop.Settle()
}

func TestOfflineEntriesGoOutLater(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Joined("bench 1"), shop.Tablet("bench 2")
	one.Append(50)
	one.Connect()
	shop.Settle()
	one.Line.Cut()
	one.Append(5)
	two.Append(5)
	one.Line.Mend()
	shop.Settle()
}

// Whatever a line does to single messages, every entry is at the hub once and
// the same, byte for byte.
func TestBadLines(t *testing.T) {
	for _, c := range []struct {
		name   string
		faults shoptest.Faults
	}{
		{"dropped", shoptest.Faults{Drop: 0.3}},
		{"doubled", shoptest.Faults{Twice: 0.5}},
		{"late", shoptest.Faults{Late: 0.4}},
		{"all", shoptest.Faults{Drop: 0.2, Twice: 0.3, Late: 0.3}},
	} {
		for seed := range uint64(4) {
			t.Run(fmt.Sprintf("%s %d", c.name, seed), func(t *testing.T) {
				t.Parallel()
				shop := shoptest.Open(t)
				one, two := shop.Joined("bench 1"), shop.Joined("bench 2")
				for i, tablet := range shop.Tablets {
					tablet.Faults, tablet.Seed = c.faults, 2*seed+uint64(i)
				}
				one.Append(30)
				one.Connect()
				two.Connect()
				for range 6 {
					one.Append(3)
					two.Append(2)
				}
				shop.Settle()
			})
		}
	}
}

func TestTheBrokersStoreIsLost(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(20)
	two.Append(5)
	shop.Settle()
	shop.DropBrokerStore()
	one.Append(7)
	shop.Settle()
	// The new stream has all again: the database can be lost next.
	shop.DropHubDatabase()
	two.Append(1)
	shop.Settle()
}

func TestTheHubsDatabaseIsLost(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(20)
	two.Append(5)
	shop.Settle()
	one.Disconnect() // the stream alone brings its entries back
	shop.DropHubDatabase()
	two.Append(3)
	shop.Settle()
	one.Connect()
	one.Append(1)
	shop.Settle()
}

func TestStreamAndDatabaseAreLost(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(20)
	two.Append(5)
	shop.Settle()
	one.Disconnect() // what it wrote comes back from the other one
	shop.DropBoth()
	two.Append(3)
	shop.SettleLog(two)
	shop.SettleLog(one)
	one.Connect()
	one.Append(1)
	shop.Settle()
	// What came back from the tablets is in the stream too.
	one.Disconnect()
	two.Disconnect()
	shop.DropHubDatabase()
	shop.Settle()
	one.Connect()
	two.Connect()
	one.Append(1)
	shop.Settle()
	shop.Invite("bench 3") // the register can be written to again
}

func TestTheHubIsRestoredFromAnOlderCopy(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	one.Append(10)
	shop.Settle()
	restore := shop.CopyHubDatabase()
	two := shop.Tablet("bench 2")
	one.Append(10)
	two.Append(4)
	shop.Settle()
	restore()
	one.Append(2)
	shop.Settle()
}

func TestTheHubIsRestoredWithoutItsStream(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	one.Append(10)
	shop.Settle()
	restore := shop.CopyHubDatabase()
	two := shop.Tablet("bench 2")
	two.Append(4)
	shop.Settle()
	restore("broker")
	one.Append(2)
	shop.Settle()
}

// A long series of things that go wrong, in an order that the seed decides.
func TestASeriesOfMishaps(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 1))
			shop := shoptest.Open(t)
			for i, name := range []string{"bench 1", "bench 2", "bench 3"} {
				tablet := shop.Joined(name)
				tablet.Faults, tablet.Seed = shoptest.Faults{Drop: 0.1, Twice: 0.1, Late: 0.1}, seed*3+uint64(i)
				tablet.Connect()
			}
			for range 8 {
				tablet := shop.Tablets[r.IntN(len(shop.Tablets))]
				switch r.IntN(7) {
				case 0:
					shop.HubStop()
					tablet.Append(3)
					shop.HubStart()
				case 1:
					shop.DropBrokerStore()
				case 2:
					shop.DropHubDatabase()
				case 3:
					tablet.Line.Cut()
					tablet.Append(4)
					tablet.Line.Mend()
				case 4:
					tablet.Disconnect()
					tablet.Append(2)
					tablet.Connect()
				case 5:
					shop.Settle()
					shop.DropBoth()
				default:
					tablet.Append(r.IntN(40))
				}
			}
			shop.Settle()
		})
	}
}

// loser loses the first segment that is sent and nothing else.
type loser struct {
	uplink.Line
	lost atomic.Bool
}

func (l *loser) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	if what == segment.Send && l.lost.CompareAndSwap(false, true) {
		return nil, uplink.ErrNoNetwork
	}
	return l.Line.Ask(ctx, what, data)
}

// A segment that is lost comes again, and those behind it after it.
func TestALostSegmentBeforeThoseThatArrived(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Joined("bench 1")
	drafts, err := shoptest.Drafts(150, 60<<10, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range drafts {
		tablet.Write(d)
	}
	line := &loser{}
	tablet.Connection.Line = func(l uplink.Line) uplink.Line { line.Line = l; return line }
	tablet.Connect()
	shop.Settle()
}
