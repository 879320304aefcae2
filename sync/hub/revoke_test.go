package hub_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// revoke revokes a tablet as the desk does.
func (r *rig) revoke(device journal.DeviceID, reason string) error {
	r.t.Helper()
	_, err := r.hub.Append(r.t.Context(), journal.Draft{Subject: journal.Of("device", string(device)), By: by,
		Data: &journal.Revocation{Device: device, Reason: reason}})
	return err
}

func (r *rig) in(device journal.DeviceID) bool {
	return slices.ContainsFunc(r.admitted(), func(c hub.Client) bool { return c.Device == device })
}

// Who is revoked is cut off before the stream has the word, and whether or not it ever
// takes it.
func TestCutOffBeforePublished(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	r.send(tab.device, r.encode(tab.write(3)))
	asked := 0
	way := func(publish func() error) error {
		if asked++; r.in(tab.device) {
			t.Error("it is published, and the tablet is let in still")
		}
		return errors.New("the stream is full")
	}
	r.publishing.Store(&way)
	var after *journal.Written
	if err := r.revoke(tab.device, "stolen"); !errors.As(err, &after) || asked == 0 || r.in(tab.device) {
		t.Errorf("got %v after %d tries to publish", err, asked)
	}
	r.publishing.Store(nil)
}

// A tablet that claims to hold more of the hub's log than is here holds up many things,
// and not that it is cut off.
func TestAFalseClaimDelaysNoRevocation(t *testing.T) {
	r := open(t)
	tab, honest := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	claim := segment.Greeting{Holds: []segment.Reach{{Device: r.device, Size: 1e9}}}
	must(t, r.ask(tab.device, segment.Greet, claim, new(segment.Welcome)))
	if err := r.revoke(tab.device, "stolen"); err != nil || r.in(tab.device) {
		t.Fatalf("revoked: %v, let in %v", err, r.in(tab.device))
	}
	// What another claims may be true, so the word waits, and the tablet is out.
	must(t, r.ask(honest.device, segment.Greet, claim, new(segment.Welcome)))
	third := r.newTablet("t5hh8c1n")
	r.ahead.Store(int64(hub.DefaultPatience + time.Second))
	code, no := r.knock(third.request(r.invite("bench 3", time.Hour), nil))
	if code != 200 {
		t.Fatal(no)
	}
	r.ahead.Store(0)
	must(t, r.ask(honest.device, segment.Greet, claim, new(segment.Welcome)))
	var out *hub.CutOff
	if err := r.revoke(third.device, "stolen"); !errors.As(err, &out) || r.in(third.device) {
		t.Fatalf("revoked: %v, let in %v", err, r.in(third.device))
	}
	r.restart()
	r.ready()
	if r.in(third.device) || !r.in(honest.device) {
		t.Errorf("after a restart are let in: %v", r.admitted())
	}
	if err := r.revoke(third.device, "stolen"); err != nil {
		t.Errorf("written again: %v", err)
	}
}

// A revocation that says nothing cuts nobody off.
func TestARevocationWithoutAReason(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	if err := r.revoke(tab.device, ""); err == nil || !r.in(tab.device) {
		t.Errorf("got %v, let in %v", err, r.in(tab.device))
	}
}

// The log of a revoked tablet does not grow, whoever brings what it wrote; what it had
// is given back to a hub that lost it.
func TestARevokedLogStopsGrowing(t *testing.T) {
	r := open(t)
	tab, other := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	before := tab.write(3)
	r.send(tab.device, r.encode(before))
	must(t, r.revoke(tab.device, "stolen"))
	if n := count[*journal.LogClosing](r.register()); n != 1 {
		t.Errorf("the register says %d times how much counts, want once, with the revocation", n)
	}
	more := r.encode(tab.write(2))
	refused(t, r.ask(other.device, segment.Give, segment.GiveAsk{Segment: more}, nil), "revoked")
	own, err := r.db.Segment(t.Context(), r.device, 0, journal.MaxSegmentBytes)
	must(t, err)
	register := r.encode(own)
	r.restart(append(slices.Clone(database), "broker")...)
	must(t, r.ask(other.device, segment.Give, segment.GiveAsk{Segment: register}, nil))
	r.ready()
	must(t, r.ask(other.device, segment.Give, segment.GiveAsk{Segment: r.encode(before)}, nil))
	refused(t, r.ask(other.device, segment.Give, segment.GiveAsk{Segment: more}, nil), "revoked")
	if n := r.size(tab); n != 3 {
		t.Errorf("%d entries of the revoked tablet, want 3", n)
	}
}

// Nobody is answered whom the broker does not let in now, also not a question that was
// under way.
func TestNobodyElseIsAnswered(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	must(t, r.ask(tab.device, segment.Greet, segment.Greeting{}, new(segment.Welcome)))
	must(t, r.revoke(tab.device, "stolen"))
	for _, device := range []journal.DeviceID{tab.device, "t9nobody"} {
		if r.answered(device) {
			t.Errorf("%s is answered", device)
		}
	}
}

// What was kept of who is let in gives nobody back what the register took.
func TestKept(t *testing.T) {
	r := open(t)
	gone, here := r.joined("t3fz8c1n"), r.joined("t4gg8c1n")
	list := append(slices.Clone(r.admitted()), hub.Client{Device: "t9unheard", Key: "U"})
	must(t, r.revoke(gone.device, "stolen"))
	for i := range list {
		if list[i].Device == here.device {
			list[i].Key = "another"
		}
	}
	got, err := hub.Kept(t.Context(), journal.Authority{Shop: r.shop, Hub: r.device}, r.db, r.db, list, time.Now())
	must(t, err)
	key, err := here.line.PublicKey()
	must(t, err)
	if want := []hub.Client{{Device: here.device, Key: key}, {Device: "t9unheard", Key: "U"}}; !slices.Equal(got, want) {
		t.Errorf("let in are %v, want %v", got, want)
	}
	if _, err := hub.Kept(t.Context(), journal.Authority{Shop: r.shop, Hub: "nobody"}, r.db, r.db, list, time.Now()); err != nil && !strings.Contains(err.Error(), "register") {
		t.Error(err)
	}
}
