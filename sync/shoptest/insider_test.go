package shoptest_test

import (
	"fmt"
	"testing"
	"time"

	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Whatever somebody with an enrolled tablet's keys sends, and wherever he wants it
// answered, nothing comes out on another tablet's subjects: neither an acknowledgement
// of the broker, nor its no, nor a trace.
func TestTheBrokerSaysNothingForAnInsider(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Joined("bench 1"), shop.Joined("bench 2")
	id := shop.ID()
	conn := dial(t, two, nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}))
	var heard []*nats.Subscription
	for _, subjects := range []string{segment.LogSubject(id, one.Device()), segment.Inbox(one.Device()) + ".>",
		segment.AskSubject(id, one.Device(), "*"), segment.LogSubject(id, shop.HubDevice())} {
		s, err := shop.Hub.Overhear(subjects)
		if err != nil {
			t.Fatal(err)
		}
		heard = append(heard, s)
	}
	headers := []nats.Header{nil, {jetstream.MsgIDHeader: {"x"}}, {jetstream.ExpectedStreamHeader: {"another"}},
		{"Nats-Trace-Dest": {segment.LogSubject(id, one.Device())}}, {"Nats-Batch-Id": {"b"}, "Nats-Batch-Sequence": {"1"}, "Nats-Batch-Commit": {"1"}}}
	for _, subject := range []string{segment.LogSubject(id, two.Device()), segment.AskSubject(id, two.Device(), segment.Send),
		segment.AskSubject(id, two.Device(), "coffee"), "fb." + string(id) + ".ask." + string(two.Device())} {
		for _, reply := range []string{segment.LogSubject(id, one.Device()), segment.Inbox(one.Device()) + ".x",
			segment.AskSubject(id, one.Device(), segment.Greet), segment.LogSubject(id, shop.HubDevice())} {
			for _, h := range headers {
				if err := conn.PublishMsg(&nats.Msg{Subject: subject, Reply: reply, Header: h, Data: []byte("nothing")}); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if err := conn.FlushTimeout(time.Minute); err != nil {
		t.Fatal(err)
	}
	greet(t, conn, two) // what came before it is answered
	for _, s := range heard {
		for n, _, err := s.Pending(); n > 0 && err == nil; n, _, err = s.Pending() {
			m, err := s.NextMsg(time.Minute)
			if err != nil {
				t.Fatal(err)
			}
			t.Errorf("on %s was said: %.80s %v", m.Subject, m.Data, m.Header)
		}
	}
	one.Append(3)
	one.Connect()
	shop.SettleLog(one)
	if q := quarantined(t, shop, one.Device()); len(q) > 0 {
		t.Errorf("in quarantine under the name of somebody else: %q", q)
	}
}

// greet greets as a tablet, more often than questions are under way at once.
func greet(t *testing.T, conn *nats.Conn, tablet *shoptest.Tablet) {
	t.Helper()
	for range 20 {
		if _, err := conn.Request(segment.AskSubject(tablet.Bench.ID.Shop, tablet.Device(), segment.Greet), nil, time.Minute); err != nil {
			t.Fatal(fmt.Errorf("greet: %w", err))
		}
	}
}
