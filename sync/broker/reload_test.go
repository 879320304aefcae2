package broker_test

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"github.com/nats-io/nats.go"

	"fettlebook/sync/broker"
)

func TestReloadEnrolsAndRevokes(t *testing.T) {
	t.Parallel()
	t1, t2 := newTablet(t, "t1"), newTablet(t, "t2")
	s := openShop(t, t1)
	hub := s.hubConn(t)
	first := s.mustDial(t, t1)
	if _, err := s.dial(t, t2); !errors.Is(err, nats.ErrAuthorization) {
		t.Fatalf("t2 before its enrolment: %v", err)
	}

	s.devices = append(s.devices, t2.device(t))
	if err := s.broker.Reload(s.register(t)); err != nil {
		t.Fatal(err)
	}
	second := s.mustDial(t, t2)
	first.steady(t)
	second.steady(t)

	s.devices = s.devices[:1]
	if err := s.broker.Reload(s.register(t)); err != nil {
		t.Fatal(err)
	}
	wait(t, second.closed, "the revoked device to be cut off")
	if _, err := s.dial(t, t2); !errors.Is(err, nats.ErrAuthorization) {
		t.Errorf("t2 after its revocation: %v", err)
	}
	first.steady(t)
	if err := hub.FlushTimeout(patience); err != nil || hub.Stats().Reconnects != 0 {
		t.Errorf("the hub’s own client: %v, %d reconnects", err, hub.Stats().Reconnects)
	}
	if !s.broker.SyncsAlways() {
		t.Error("the reload switched syncing off")
	}
}

// A device whose rights change is cut off, and has the new ones when it is back.
func TestReloadChangesRightsOfOpenConnection(t *testing.T) {
	t1, t2 := newTablet(t, "t1"), newTablet(t, "t2")
	s := openShop(t, t1, t2)
	dev, other := s.mustDial(t, t1), s.mustDial(t, t2)
	if _, err := dev.SubscribeSync("fb.shop.news"); err != nil {
		t.Fatal(err)
	}
	dev.steady(t)

	narrow := t1.device(t)
	narrow.Publish = []string{"fb.shop.ask.t1"}
	narrow.Subscribe = narrow.Subscribe[:1]
	s.devices[0] = narrow
	if err := s.broker.Reload(s.register(t)); err != nil {
		t.Fatal(err)
	}
	wait(t, dev.closed, "the device with old rights to be cut off")
	other.steady(t)

	dev = s.mustDial(t, t1)
	news, err := dev.SubscribeSync("fb.shop.news")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := news.NextMsg(patience); !errors.Is(err, nats.ErrPermissionViolation) {
		t.Errorf("the withdrawn subscription: %v, want a permissions violation", err)
	}
	dev.violation(t)
	if err := dev.Publish("fb.shop.log.t1", nil); err != nil {
		t.Fatal(err)
	}
	dev.violation(t)
	dev.steady(t)
}

// The register changes while tablets are connecting: whoever is on it all the
// time comes in and stays in, whoever is not never stays, and under the race
// detector nothing reads what a connection writes.
func TestReloadWhileTabletsConnect(t *testing.T) {
	t.Parallel()
	const tablets, rounds = 3, 12
	var steady []tablet
	for i := range tablets {
		steady = append(steady, newTablet(t, fmt.Sprintf("t%d", i)))
	}
	guest := newTablet(t, "guest")
	s := openShop(t, steady...)
	listed := s.register(t)
	with := listed
	with.Devices = append(slices.Clone(listed.Devices), guest.device(t))

	var dialling sync.WaitGroup
	for _, tab := range steady {
		dialling.Go(func() {
			for range rounds {
				w, err := s.dial(t, tab)
				if err != nil {
					t.Errorf("%s: %v", tab.name, err)
					return
				}
				if err := w.FlushTimeout(patience); err != nil || len(w.dropped) > 0 {
					t.Errorf("%s: %v, dropped %d times", tab.name, err, len(w.dropped))
				}
				w.Close()
			}
		})
	}
	over := make(chan struct{})
	go func() { dialling.Wait(); close(over) }()
	reloads := 0
	for done := false; !done; reloads++ {
		if err := s.broker.Reload(with); err != nil {
			t.Fatal(err)
		}
		// In or not, it is out after the next change.
		w, err := s.dial(t, guest)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.broker.Reload(listed); err != nil {
			t.Fatal(err)
		}
		wait(t, w.closed, "the guest to be cut off")
		select {
		case <-over:
			done = true
		default:
		}
	}
	if reloads < 2 {
		t.Errorf("%d changes of the register, too few to have met a tablet that connects", reloads)
	}
	if _, err := s.dial(t, guest); !errors.Is(err, nats.ErrAuthorization) {
		t.Errorf("the guest at the end: %v", err)
	}
}

func TestReloadRefusedKeepsTheOldRegister(t *testing.T) {
	t1 := newTablet(t, "t1")
	s := openShop(t, t1)
	dev := s.mustDial(t, t1)
	reg := s.register(t)
	reg.Devices = []broker.Device{{NKey: public(t, newKey(t))}}
	if err := s.broker.Reload(reg); !errors.Is(err, broker.ErrRegister) {
		t.Fatalf("Reload: %v, want ErrRegister", err)
	}
	dev.steady(t)
	s.mustDial(t, t1).steady(t)
}
