package hub_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

func TestJoin(t *testing.T) {
	r := open(t)
	token := r.invite("bench 7", time.Hour)
	tab := r.newTablet("t1aaaaaa")
	for _, try := range []string{"the first time", "again, as when the answer was lost"} {
		code, reply := r.knock(tab.request(token, nil))
		if code != http.StatusOK || reply.Shop != r.shop || reply.Hub != r.device || reply.HubKey != r.key.Verifier() ||
			reply.CosignKey != r.cosigner.Verifier() || reply.Port != 7461 {
			t.Errorf("%s: %d %+v", try, code, reply)
		}
	}
	var found []*journal.Device
	for _, p := range r.register() {
		if d, ok := p.(*journal.Device); ok {
			found = append(found, d)
		}
	}
	if len(found) != 1 || found[0].Name != "bench 7" || found[0].LogKey != tab.key.Verifier() {
		t.Errorf("in the register: %+v, want one tablet of the invitation's name", found)
	}
	in := r.admitted()
	if connect, err := tab.line.PublicKey(); err != nil || len(in) != 1 || in[0] != (hub.Client{Device: tab.device, Key: connect}) {
		t.Fatalf("let in: %+v, %v", in, err)
	}
}

func TestJoinRefuses(t *testing.T) {
	r := open(t)
	here, used := r.newTablet("t1aaaaaa"), r.invite("", time.Hour)
	if code, reply := r.knock(here.request(used, nil)); code != http.StatusOK {
		t.Fatal(reply.Refused)
	}
	out := r.joined("t2bbbbbb")
	_, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("device", string(out.device)), By: by,
		Data: &journal.Revocation{Device: out.device, Reason: "left on a car roof"}})
	must(t, err)
	good, past := r.invite("", time.Hour), r.invite("", -time.Minute)
	other := r.newTablet("t8yyyyyy")
	fresh := func(spoil func(*segment.JoinRequest)) []byte { return r.newTablet("t9zzzzzz").request(good, spoil) }
	before := len(r.register())
	for name, v := range map[string]struct {
		body []byte
		says string
	}{
		"no request":                {[]byte("hello"), "cannot be read"},
		"a field nobody knows":      {[]byte(`{"please": true}`), "cannot be read"},
		"too long":                  {[]byte(`{"name":"` + strings.Repeat("x", 17<<10) + `"}`), "cannot be read"},
		"no invitation":             {r.newTablet("t9zzzzzz").request([]byte("guessed"), nil), "not known here"},
		"an invitation of before":   {r.newTablet("t9zzzzzz").request(past, nil), "expired"},
		"an invitation of others":   {r.newTablet("t9zzzzzz").request(used, nil), "already been used"},
		"a tablet that is in":       {here.request(good, nil), "already been let in"},
		"a tablet that is out":      {out.request(good, nil), "was revoked"},
		"a name that is taken":      {r.newTablet(here.device).request(good, nil), "of this name"},
		"the hub’s name":            {r.newTablet(r.device).request(good, nil), "hub’s own name"},
		"a name of two words":       {r.newTablet("t1aaaaaa.x").request(good, nil), "cannot be verified"},
		"a name that is everybody":  {r.newTablet("*").request(good, nil), "cannot be read"},
		"another's log key":         {fresh(func(q *segment.JoinRequest) { q.LogKey = other.key.Verifier() }), "cannot be verified"},
		"a connection key too many": {fresh(func(q *segment.JoinRequest) { q.ConnectKey = clients(r)[0] }), "cannot be verified"},
		"no connection key":         {fresh(func(q *segment.JoinRequest) { q.ConnectKey = "" }), "cannot be verified"},
		"a very long name":          {fresh(func(q *segment.JoinRequest) { q.Name = strings.Repeat("x", journal.MaxName+1) }), "cannot be verified"},
		"signed for another token":  {[]byte(strings.Replace(string(fresh(nil)), `"token":"`, `"token":"AAAA`, 1)), "cannot be verified"},
	} {
		code, reply := r.knock(v.body)
		if code != http.StatusForbidden || !strings.Contains(reply.Refused, v.says) {
			t.Errorf("%s: %d %q, want a no with %q", name, code, reply.Refused, v.says)
		}
		if reply.HubKey != "" || reply.Port != 0 {
			t.Errorf("%s: the no tells more than why: %+v", name, reply)
		}
	}
	if after := len(r.register()); after != before {
		t.Errorf("%d entries were written about who was refused", after-before)
	}
	if in := r.admitted(); len(in) != 1 || in[0].Device != here.device {
		t.Errorf("let in: %+v", in)
	}
	if code, reply := r.knock(fresh(nil)); code != http.StatusOK {
		t.Errorf("the good invitation at the end: %s", reply.Refused)
	}
}

func clients(r *rig) (keys []string) {
	for _, c := range r.admitted() {
		keys = append(keys, c.Key)
	}
	return keys
}
