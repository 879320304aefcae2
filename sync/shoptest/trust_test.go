package shoptest_test

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

// dial connects with a tablet's own key and nothing of the uplink's.
func dial(t *testing.T, tablet *shoptest.Tablet, opts ...nats.Option) *nats.Conn {
	t.Helper()
	conn, err := nats.Connect("tls://"+tablet.Bench.ID.Brokers[0], append(credentials(t, tablet), opts...)...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(conn.Close)
	return conn
}

// credentials are what a tablet comes in with.
func credentials(t testing.TB, tablet *shoptest.Tablet) []nats.Option {
	t.Helper()
	key, err := nkeys.FromSeed([]byte(tablet.Bench.ID.Line))
	if err != nil {
		t.Fatal(err)
	}
	public, err := key.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	return []nats.Option{nats.Nkey(public, key.Sign), nats.Secure(broker.ClientTLS(tablet.Bench.ID.Pin)),
		nats.CustomInboxPrefix(segment.Inbox(tablet.Device())), nats.NoReconnect()}
}

// send sends a segment as the tablet's own and returns what the hub says against it.
func send(t *testing.T, conn *nats.Conn, tablet *shoptest.Tablet, raw []byte) (refused string) {
	t.Helper()
	c := codec(t)
	question, err := c.Marshal(segment.GiveAsk{Segment: raw})
	if err != nil {
		t.Fatal(err)
	}
	answer, err := conn.Request(segment.AskSubject(tablet.Bench.ID.Shop, tablet.Device(), segment.Send), question, 2*time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	var a segment.Answer
	if err := c.Unmarshal(answer.Data, &a); err != nil {
		t.Fatal(err)
	}
	return a.Refused
}

func codec(t *testing.T) *segment.Codec {
	t.Helper()
	c, err := segment.NewCodec()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

func TestWhatCannotBeVerifiedGoesToQuarantine(t *testing.T) {
	shop := shoptest.Open(t)
	good, bad := shop.Tablet("bench 1"), shop.Joined("bench 2")
	good.Append(5)
	bad.Append(5)
	conn := dial(t, bad)
	other, err := good.Bench.DB.Segment(t.Context(), good.Device(), 0, journal.MaxSegmentBytes)
	if err != nil {
		t.Fatal(err)
	}
	own, err := bad.Bench.DB.Segment(t.Context(), bad.Device(), 0, journal.MaxSegmentBytes)
	if err != nil {
		t.Fatal(err)
	}
	own.Entries[2][20]++
	c := codec(t)
	for _, v := range []struct {
		name   string
		encode func() ([]byte, error)
		reason string
	}{
		{"garbage", func() ([]byte, error) { return []byte("not a segment"), nil }, "cannot be read"},
		{"another device's log", func() ([]byte, error) { return c.Encode(other) }, "sent a segment of log"},
		{"a changed byte", func() ([]byte, error) { return c.Encode(own) }, "root that the device signed"},
	} {
		raw, err := v.encode()
		if err != nil {
			t.Fatal(err)
		}
		if no := send(t, conn, bad, raw); !strings.Contains(no, v.reason) {
			t.Errorf("%s: the hub says %q, want %q", v.name, no, v.reason)
		}
		shoptest.WaitUntil(t, v.name+" in quarantine", func() bool {
			for _, reason := range quarantined(t, shop, bad.Device()) {
				if strings.Contains(reason, v.reason) {
					return true
				}
			}
			return false
		})
	}
	bad.Connect() // its own log is none the worse
	shop.Settle()
	if q := quarantined(t, shop, good.Device()); len(q) > 0 {
		t.Errorf("quarantined for the tablet whose name was used: %q", q)
	}
}

func TestARevokedTabletIsCutOff(t *testing.T) {
	shop := shoptest.Open(t)
	tablet, other := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	tablet.Append(5)
	shop.Settle()
	want := shoptest.Log(t, shop.Hub.DB, tablet.Device())
	cut := make(chan struct{})
	conn := dial(t, tablet, nats.ClosedHandler(func(*nats.Conn) { close(cut) }))
	shop.Revoke(tablet)
	shoptest.WaitUntil(t, "the connection to be closed", func() bool { return conn.IsClosed() })
	<-cut
	shoptest.WaitUntil(t, "the tablet to say why", func() bool {
		return strings.Contains(tablet.Bench.Uplink.Status().Problem, "revoked")
	})
	tablet.Append(3)
	tablet.Disconnect()
	other.Append(2)
	shop.SettleLog(other)
	if got := shoptest.Log(t, shop.Hub.DB, tablet.Device()); len(got) != len(want) {
		t.Errorf("the hub has %d entries of the revoked tablet, want the %d from before", len(got), len(want))
	}
	shop.DropHubDatabase() // it stays revoked, and its past stays
	other.Append(1)
	shop.SettleLog(other)
	if got := shoptest.Log(t, shop.Hub.DB, tablet.Device()); len(got) != len(want) {
		t.Errorf("after a rebuild the hub has %d entries of the revoked tablet, want %d", len(got), len(want))
	}
}

// loud counts what is logged at a level that people read, and hears how often something
// is said.
type loud struct {
	slog.Handler
	n  atomic.Int64
	of string
}

func (l *loud) Enabled(_ context.Context, level slog.Level) bool { return level >= slog.LevelInfo }

func (l *loud) Handle(_ context.Context, r slog.Record) error {
	is := l.of == ""
	r.Attrs(func(a slog.Attr) bool {
		is = is || strings.Contains(a.Value.String(), l.of)
		return true
	})
	if is {
		l.n.Add(1)
	}
	return nil
}

// A revoked tablet says once that it is not let in, since when, and goes on trying in
// long rests; a new tablet of the same folder, and one that is let in, say nothing.
func TestARevokedTabletFallsSilent(t *testing.T) {
	refused, said := &loud{of: "authentication error"}, &loud{}
	shop := shoptest.OpenWith(t, shoptest.Settings{Logger: slog.New(refused)})
	tablet := shop.Joined("bench 1")
	tablet.Connection.Logger, tablet.Connection.Retry = slog.New(said), time.Millisecond
	tablet.Append(2)
	tablet.Connect()
	shop.Settle()
	if at := tablet.Bench.Uplink.Status().Refused; !at.IsZero() || said.n.Load() > 0 {
		t.Fatalf("not let in since %v, %d lines", at, said.n.Load())
	}
	shop.Revoke(tablet)
	shoptest.WaitUntil(t, "some tries to come in", func() bool { return refused.n.Load() >= 4 })
	shoptest.WaitUntil(t, "the tablet to say since when", func() bool { return !tablet.Bench.Uplink.Status().Refused.IsZero() })
	if n := said.n.Load(); n != 1 {
		t.Errorf("after %d tries %d lines were logged, want 1", refused.n.Load(), n)
	}
	since, err := tablet.Bench.DB.Mark(t.Context(), uplink.MarkRefused)
	if _, no := time.Parse(time.RFC3339, since); err != nil || no != nil {
		t.Errorf("kept for who writes without the program: %q, %v, %v", since, err, no)
	}
}

func TestATabletHearsOnlyItsOwnAnswers(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Joined("bench 1"), shop.Joined("bench 2")
	refused := make(chan error, 4)
	spy := dial(t, two, nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { refused <- err }))
	if _, err := spy.Subscribe(segment.Inbox(one.Device())+".>", func(*nats.Msg) { t.Error("heard another tablet's answer") }); err != nil {
		t.Fatal(err)
	}
	if err := <-refused; !errors.Is(err, nats.ErrPermissionViolation) {
		t.Errorf("listening there gives %v, want a permissions violation", err)
	}
	// Nor can it have the hub answer into another's inbox or log.
	for _, reply := range []string{segment.Inbox(one.Device()) + ".x", segment.LogSubject(one.Bench.ID.Shop, one.Device())} {
		if err := spy.PublishRequest(segment.AskSubject(two.Bench.ID.Shop, two.Device(), segment.Greet), reply, nil); err != nil {
			t.Fatal(err)
		}
	}
	one.Append(5)
	one.Connect()
	two.Connect()
	shop.Settle()
	if q := quarantined(t, shop, one.Device()); len(q) > 0 {
		t.Errorf("the hub wrote into the log of another: %q", q)
	}
}

// tamperer sits between tablet and hub and changes a byte of the segments that
// come down.
type tamperer struct {
	uplink.Line
	codec *segment.Codec
	on    atomic.Bool
	did   atomic.Int64
}

func (l *tamperer) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	raw, err := l.Line.Ask(ctx, what, data)
	if err != nil || what != segment.Range || !l.on.Load() {
		return raw, err
	}
	var a segment.Answer
	if err := l.codec.Unmarshal(raw, &a); err != nil {
		return nil, err
	}
	var r segment.RangeReply
	if err := l.codec.UnmarshalBody(a.Body, &r); err != nil || len(r.Segment) == 0 {
		return raw, err
	}
	s, err := l.codec.Decode(r.Segment)
	if err != nil {
		return nil, err
	}
	s.Entries[0][len(s.Entries[0])/2] ^= 1
	if r.Segment, err = l.codec.Encode(s); err != nil {
		return nil, err
	}
	if a.Body, err = l.codec.MarshalBody(r); err != nil {
		return nil, err
	}
	l.did.Add(1)
	return l.codec.Marshal(a)
}

func TestATamperingHubIsRefused(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Joined("bench 2")
	between := &tamperer{codec: codec(t)}
	two.Connection.Line = func(l uplink.Line) uplink.Line { between.Line = l; return between }
	two.Connect()
	shop.Settle()
	between.on.Store(true)
	one.Append(5)
	shoptest.WaitUntil(t, "the tablet to refuse", func() bool {
		return strings.Contains(two.Bench.Uplink.Status().Problem, "cannot be verified")
	})
	if got := shoptest.Log(t, two.Bench.DB, one.Device()); len(got) != 0 {
		t.Errorf("the tablet took %d entries of which one was changed", len(got))
	}
	two.Append(2) // what cannot be fetched does not hold up what is to be sent
	shoptest.WaitUntil(t, "the tablet’s own entries at the hub", func() bool {
		return len(shoptest.Log(t, shop.Hub.DB, two.Device())) == 2
	})
	between.on.Store(false)
	shop.Settle()
	if between.did.Load() == 0 {
		t.Error("nothing was tampered with")
	}
}
