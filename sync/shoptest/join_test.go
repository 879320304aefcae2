package shoptest_test

import (
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/httptest"
	"reflect"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"
)

func applicant(t *testing.T, shop journal.ShopID) uplink.Applicant {
	t.Helper()
	a, err := shoptest.Applicant(shop, "bench 1")
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func join(t *testing.T, i segment.Invitation, a uplink.Applicant) (uplink.Joined, error) {
	t.Helper()
	return uplink.Join(t.Context(), i, a, broker.ClientTLS(i.Fingerprint))
}

// enrolled counts the devices in the register.
func enrolled(shop *shoptest.Shop) int {
	n := 0
	for _, p := range shop.Register() {
		if _, ok := p.(*journal.Device); ok {
			n++
		}
	}
	return n
}

func TestJoin(t *testing.T) {
	shop := shoptest.Open(t)
	i := shop.Invite("bench 1")
	a := applicant(t, shop.ID())
	joined, err := join(t, i, a)
	if err != nil {
		t.Fatal(err)
	}
	if joined.Shop != shop.ID() || joined.ShopName == "" || joined.Broker != shop.Hub.Broker.Addr() {
		t.Errorf("joined %+v at broker %s", joined, shop.Hub.Broker.Addr())
	}
	// The answer got lost: the same keys with the same invitation are let in
	// again, and nothing is written twice.
	if again, err := join(t, i, a); err != nil || !reflect.DeepEqual(again, joined) {
		t.Errorf("joined again as %+v, %v; want %+v", again, err, joined)
	}
	if n := enrolled(shop); n != 1 {
		t.Errorf("%d devices are in the register, want 1", n)
	}
}

func TestJoinIsRefused(t *testing.T) {
	shop := shoptest.Open(t)
	used := shop.Invite("bench 1")
	first := applicant(t, shop.ID())
	if _, err := join(t, used, first); err != nil {
		t.Fatal(err)
	}
	expired, err := shop.Hub.Invite(t.Context(), "bench 2", time.Now().Add(-time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	unknown := shop.Invite("bench 3")
	unknown.Token = make([]byte, len(unknown.Token))
	for _, c := range []struct {
		name string
		i    segment.Invitation
		a    func(*uplink.Applicant)
		want string
	}{
		{"used", used, nil, "already been used"},
		{"expired", expired, nil, "has expired"},
		{"unknown", unknown, nil, "is not known here"},
		{"another connection key", used, func(a *uplink.Applicant) { a.Device, a.Log = first.Device, first.Log }, "already been used"},
		{"a name taken", shop.Invite("x"), func(a *uplink.Applicant) {
			a.Device = first.Device
			a.Log = rename(t, proof.Origin(shop.ID(), first.Device))
		}, "of this name is here already"},
		{"the hub’s name", shop.Invite("x"), func(a *uplink.Applicant) { a.Device = shop.HubDevice() }, "the hub’s own name"},
		{"a name of two words", shop.Invite("x"), func(a *uplink.Applicant) {
			a.Device = "a.b"
			a.Log = rename(t, proof.Origin(shop.ID(), "a.b"))
		}, "cannot be verified"},
		{"a key of another log", shop.Invite("x"), func(a *uplink.Applicant) { a.Log = first.Log }, "cannot be verified"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := applicant(t, shop.ID())
			if c.a != nil {
				c.a(&a)
			}
			_, err := join(t, c.i, a)
			var no *uplink.NotJoined
			if !errors.As(err, &no) || !strings.Contains(no.Sentence, c.want) {
				t.Errorf("got %v, want a no with %q", err, c.want)
			}
		})
	}
	if n := enrolled(shop); n != 1 {
		t.Errorf("%d devices are in the register, want 1", n)
	}
}

func rename(t *testing.T, name string) proof.Key {
	t.Helper()
	key, err := proof.NewKey(neverEnds{}, name)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

type neverEnds struct{}

func (neverEnds) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func TestAnInvitationWorksOnceAtOnce(t *testing.T) {
	shop := shoptest.Open(t)
	i := shop.Invite("bench 1")
	const guests = 6
	in := make(chan error, guests)
	for range guests {
		a := applicant(t, shop.ID())
		go func() { _, err := uplink.Join(t.Context(), i, a, broker.ClientTLS(i.Fingerprint)); in <- err }()
	}
	var got int
	for range guests {
		if err := <-in; err == nil {
			got++
		}
	}
	if got != 1 {
		t.Errorf("%d tablets joined with one invitation, want 1", got)
	}
}

func TestJoinFindsTheHub(t *testing.T) {
	shop := shoptest.Open(t)
	var posts atomic.Int64
	stranger := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		posts.Add(1)
		io.WriteString(w, "hello")
	}))
	stranger.Config.ErrorLog = log.New(io.Discard, "", 0) // it says that the handshake failed
	stranger.StartTLS()
	defer stranger.Close()

	i := shop.Invite("bench 1")
	real := i.Addresses[0]
	i.Addresses = []string{"127.0.0.1:1", stranger.Listener.Addr().String(), real}
	if _, err := join(t, i, applicant(t, shop.ID())); err != nil {
		t.Errorf("with the hub’s address as the last of three: %v", err)
	}
	i.Addresses = i.Addresses[:2]
	_, err := join(t, i, applicant(t, shop.ID()))
	var pin *broker.PinError
	if !errors.Is(err, uplink.ErrNoHub) || !errors.As(err, &pin) {
		t.Errorf("got %v, want that no address leads to the hub and that a stranger answered", err)
	}
	if n := posts.Load(); n != 0 {
		t.Errorf("the token went to a stranger %d times", n)
	}
}
