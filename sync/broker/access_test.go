package broker_test

import (
	"bufio"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"fettlebook/sync/broker"
)

func TestDeviceReachesItsOwnSubjects(t *testing.T) {
	t1 := newTablet(t, "t1")
	s := openShop(t, t1)
	js := s.jetStream(t)
	if _, err := broker.EnsureStream(t.Context(), js, broker.StreamConfig("SHOP", []string{"fb.shop.log.*"}, 1)); err != nil {
		t.Fatal(err)
	}
	hub := s.hubConn(t)
	if _, err := hub.Subscribe("fb.shop.ask.*", func(m *nats.Msg) { _ = m.Respond([]byte("head 7")) }); err != nil {
		t.Fatal(err)
	}
	if err := hub.FlushTimeout(patience); err != nil {
		t.Fatal(err)
	}
	dev := s.mustDial(t, t1)

	t.Run("stores a segment", func(t *testing.T) {
		devJS, err := jetstream.New(dev.Conn)
		if err != nil {
			t.Fatal(err)
		}
		ack, err := devJS.Publish(t.Context(), "fb.shop.log.t1", []byte("segment"))
		if err != nil {
			t.Fatal(err)
		}
		if ack.Stream != "SHOP" || ack.Sequence != 1 {
			t.Errorf("ack %+v, want SHOP 1", ack)
		}
	})
	t.Run("asks the hub", func(t *testing.T) {
		reply, err := dev.Request("fb.shop.ask.t1", nil, patience)
		if err != nil {
			t.Fatal(err)
		}
		if string(reply.Data) != "head 7" {
			t.Errorf("answer %q", reply.Data)
		}
	})
	t.Run("hears the news", func(t *testing.T) {
		news, err := dev.SubscribeSync("fb.shop.news")
		if err != nil {
			t.Fatal(err)
		}
		dev.steady(t) // the subscription has arrived
		if err := hub.Publish("fb.shop.news", []byte("t2 has more")); err != nil {
			t.Fatal(err)
		}
		if msg, err := news.NextMsg(patience); err != nil || string(msg.Data) != "t2 has more" {
			t.Errorf("news: %v, %v", msg, err)
		}
	})
	dev.steady(t)
	if n := len(dev.errs); n != 0 {
		t.Errorf("%d errors reported, first: %v", n, <-dev.errs)
	}
}

func TestDevicePublishesNowhereElse(t *testing.T) {
	t1, t2 := newTablet(t, "t1"), newTablet(t, "t2")
	s := openShop(t, t1, t2)
	hub := s.hubConn(t)
	all, err := hub.SubscribeSync("fb.>")
	if err != nil {
		t.Fatal(err)
	}
	if err := hub.FlushTimeout(patience); err != nil {
		t.Fatal(err)
	}
	dev := s.mustDial(t, t1)
	for _, subject := range []string{
		"fb.shop.log.t2",     // another device's log
		"fb.shop.log",        // the parent
		"fb.shop.log.t1.sub", // below its own
		"fb.shop.news",       // the hub's voice
		"_INBOX_t2.x",        // a forged answer
		"$SYS.REQ.SERVER.PING",
	} {
		t.Run(subject, func(t *testing.T) {
			if err := dev.Publish(subject, []byte("forged")); err != nil {
				t.Fatal(err)
			}
			dev.violation(t)
		})
	}
	// The refused ones never arrived: the first thing heard is the honest one.
	if err := dev.Publish("fb.shop.log.t1", []byte("honest")); err != nil {
		t.Fatal(err)
	}
	msg, err := all.NextMsg(patience)
	if err != nil {
		t.Fatal(err)
	}
	if string(msg.Data) != "honest" {
		t.Errorf("the hub heard %q on %s", msg.Data, msg.Subject)
	}
}

func TestDeviceHearsNothingElse(t *testing.T) {
	t1, t2 := newTablet(t, "t1"), newTablet(t, "t2")
	s := openShop(t, t1, t2)
	dev := s.mustDial(t, t1)
	for _, subject := range []string{">", "fb.>", "fb.shop.log.t1", "fb.shop.log.t2", "_INBOX_t2.>", "_INBOX.>", "$SYS.>", "$JS.>"} {
		t.Run(subject, func(t *testing.T) {
			sub, err := dev.SubscribeSync(subject)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := sub.NextMsg(patience); !errors.Is(err, nats.ErrPermissionViolation) {
				t.Errorf("subscribe: %v, want a permissions violation", err)
			}
			dev.violation(t)
		})
	}
}

func TestDeviceHasNoStreamAPI(t *testing.T) {
	t1 := newTablet(t, "t1")
	s := openShop(t, t1)
	if _, err := broker.EnsureStream(t.Context(), s.jetStream(t), broker.StreamConfig("SHOP", []string{"fb.shop.log.*"}, 1)); err != nil {
		t.Fatal(err)
	}
	dev := s.mustDial(t, t1)
	for _, subject := range []string{"$JS.API.INFO", "$JS.API.STREAM.INFO.SHOP", "$JS.API.STREAM.DELETE.SHOP", "$JS.API.STREAM.MSG.GET.SHOP"} {
		t.Run(subject, func(t *testing.T) {
			// The server drops the request and says so on the side, so the
			// request itself can only run into its own limit.
			if _, err := dev.Request(subject, nil, 50*time.Millisecond); !errors.Is(err, nats.ErrTimeout) {
				t.Errorf("request: %v, want a timeout", err)
			}
			dev.violation(t)
		})
	}
	if _, err := s.jetStream(t).Stream(t.Context(), "SHOP"); err != nil {
		t.Errorf("the stream after the attempts: %v", err)
	}
}

func TestStrangersAreRefused(t *testing.T) {
	t.Parallel()
	t1 := newTablet(t, "t1")
	s := openShop(t, t1)
	pinned := nats.Secure(broker.ClientTLS(s.fingerprint()))

	t.Run("anonymous", func(t *testing.T) {
		if _, err := nats.Connect(s.url(), pinned, nats.NoReconnect()); !errors.Is(err, nats.ErrAuthorization) {
			t.Errorf("%v, want an authorization violation", err)
		}
	})
	t.Run("user and password", func(t *testing.T) {
		if _, err := nats.Connect(s.url(), pinned, nats.UserInfo("hub", "hub"), nats.NoReconnect()); !errors.Is(err, nats.ErrAuthorization) {
			t.Errorf("%v, want an authorization violation", err)
		}
	})
	t.Run("unknown nkey", func(t *testing.T) {
		if _, err := s.dial(t, newTablet(t, "t9")); !errors.Is(err, nats.ErrAuthorization) {
			t.Errorf("%v, want an authorization violation", err)
		}
	})
	t.Run("known nkey signed by another", func(t *testing.T) {
		stolen := nats.Nkey(public(t, t1.key), newKey(t).Sign)
		if _, err := nats.Connect(s.url(), pinned, stolen, nats.NoReconnect()); !errors.Is(err, nats.ErrAuthorization) {
			t.Errorf("%v, want an authorization violation", err)
		}
	})
	t.Run("wrong pin", func(t *testing.T) {
		other := broker.Fingerprint(newCert(t).Leaf)
		_, err := s.dial(t, t1, nats.Secure(broker.ClientTLS(other)))
		var pin *broker.PinError
		if !errors.As(err, &pin) {
			t.Fatalf("%v, want a PinError", err)
		}
		if pin.Want != other || pin.Got != s.fingerprint() {
			t.Errorf("%+v", pin)
		}
	})
	t.Run("TLS 1.2", func(t *testing.T) {
		old := broker.ClientTLS(s.fingerprint())
		old.MinVersion, old.MaxVersion = tls.VersionTLS12, tls.VersionTLS12
		if _, err := s.dial(t, t1, nats.Secure(old)); err == nil {
			t.Error("connected with TLS 1.2")
		}
	})
	t.Run("certificate not trusted by the system", func(t *testing.T) {
		if _, err := nats.Connect(s.url(), nkey(t, t1.key), nats.NoReconnect()); err == nil {
			t.Error("an unpinned client trusted a self-signed certificate")
		}
	})

	// Good credentials still work, so the refusals above mean something.
	s.mustDial(t, t1).steady(t)
}

// A client that never begins TLS is shown the door, whatever it says.
func TestPlainTextIsRefused(t *testing.T) {
	s := openShop(t)
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	conn, err := new(net.Dialer).DialContext(ctx, "tcp", s.broker.Addr())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if err := conn.SetDeadline(time.Now().Add(patience)); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(conn)
	if !lines.Scan() || !strings.Contains(lines.Text(), `"tls_required":true`) {
		t.Fatalf("greeting %q does not demand TLS", lines.Text())
	}
	fmt.Fprintf(conn, "CONNECT {\"verbose\":true}\r\nPING\r\n")
	for lines.Scan() {
		if got := lines.Text(); strings.HasPrefix(got, "+OK") || strings.HasPrefix(got, "PONG") {
			t.Fatalf("the server answered %q without TLS", got)
		}
	}
	if timeout := net.Error(nil); errors.As(lines.Err(), &timeout) && timeout.Timeout() {
		t.Error("the server kept a plain-text connection open")
	}
}

// Who is not let in hears that after a while, however often he asks at once, and others
// come in meanwhile.
func TestRefusedSlowly(t *testing.T) {
	t.Parallel()
	t1, nobody := newTablet(t, "t1"), newTablet(t, "t2")
	s := openShop(t, t1)
	began := time.Now()
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			if conn, err := s.dial(t, nobody); err == nil {
				conn.Close()
				t.Error("let in without being on the list")
			}
		})
	}
	s.mustDial(t, t1)
	all.Wait()
	if took := time.Since(began); took < 500*time.Millisecond {
		t.Errorf("twenty were refused within %v", took)
	}
}
