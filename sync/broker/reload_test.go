package broker_test

import (
	"errors"
	"testing"

	"github.com/nats-io/nats.go"

	"fettlebook/sync/broker"
)

func TestReloadEnrolsAndRevokes(t *testing.T) {
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
		t.Errorf("the hub's own client: %v, %d reconnects", err, hub.Stats().Reconnects)
	}
	if !s.broker.SyncsAlways() {
		t.Error("the reload switched syncing off")
	}
}

func TestReloadChangesRightsOfOpenConnection(t *testing.T) {
	t1 := newTablet(t, "t1")
	s := openShop(t, t1)
	dev := s.mustDial(t, t1)
	news, err := dev.SubscribeSync("fb.shop.news")
	if err != nil {
		t.Fatal(err)
	}
	dev.steady(t)

	narrow := t1.device(t)
	narrow.Publish = []string{"fb.shop.ask.t1"}
	narrow.Subscribe = narrow.Subscribe[:1]
	s.devices = []broker.Device{narrow}
	if err := s.broker.Reload(s.register(t)); err != nil {
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
