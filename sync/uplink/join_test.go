package uplink_test

import (
	"crypto/rand"
	"crypto/tls"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"reflect"
	"strings"
	"testing"

	"fettlebook/journal/proof"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"

	"github.com/go-json-experiment/json"
	"github.com/nats-io/nkeys"
)

// What a joining desk may answer, and what the tablet makes of it. The
// request itself is proven by both keys.
func TestJoin(t *testing.T) {
	key := func(name string) proof.Key {
		k, err := proof.NewKey(rand.Reader, name)
		must(t, err)
		return k
	}
	line, err := nkeys.CreateUser()
	must(t, err)
	a := uplink.Applicant{Device: mine, Name: "bench 1", Log: key(proof.Origin(shop, mine)), Line: line}
	good := segment.JoinReply{Shop: shop, ShopName: "Backyard Brakes", Hub: hubLog, HubKey: key(proof.Origin(shop, hubLog)).Verifier(),
		CosignKey: key(proof.CosignerName(shop)).Verifier(), Port: 7461}
	but := func(change func(*segment.JoinReply)) any {
		r := good
		change(&r)
		return r
	}
	no := func(err error) bool { return errors.As(err, new(*uplink.NotJoined)) }
	noHub := func(err error) bool { return errors.Is(err, uplink.ErrNoHub) }
	for name, v := range map[string]struct {
		status int
		reply  any
		is     func(error) bool
	}{
		"yes":                     {200, good, func(err error) bool { return err == nil }},
		"no, with a reason":       {403, segment.JoinReply{Refused: "this invitation has expired"}, no},
		"another shop":            {200, but(func(r *segment.JoinReply) { r.Shop = "other000" }), no},
		"no port":                 {200, but(func(r *segment.JoinReply) { r.Port = 0 }), no},
		"no hub":                  {200, but(func(r *segment.JoinReply) { r.Hub = "" }), no},
		"a key that is none":      {200, but(func(r *segment.JoinReply) { r.HubKey = "key" }), noHub},
		"a cosigner that is none": {200, but(func(r *segment.JoinReply) { r.CosignKey = "key" }), noHub},
		"all right, and an error": {500, good, noHub},
		"something else":          {200, "hello", noHub},
		"without an end":          {200, strings.Repeat(" ", 1<<20), noHub},
	} {
		t.Run(name, func(t *testing.T) {
			asked := 0
			desk := httptest.NewTLSServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				asked++
				var q segment.JoinRequest
				if err := json.UnmarshalRead(r.Body, &q); err != nil || r.URL.Path != segment.JoinPath {
					t.Errorf("asked %s: %v", r.URL.Path, err)
				}
				public, err := nkeys.FromPublicKey(q.ConnectKey)
				if err != nil || public.Verify(q.Statement(), q.LineProof) != nil {
					t.Errorf("the connection key is not proven: %v", err)
				}
				if !proof.VerifySign(q.LogKey, segment.JoinPurpose, q.Statement(), q.LogProof) {
					t.Error("the log key is not proven")
				}
				w.WriteHeader(v.status)
				if text, ok := v.reply.(string); ok {
					_, _ = io.WriteString(w, text)
				} else if err := json.MarshalWrite(w, v.reply); err != nil {
					t.Error(err)
				}
			}))
			defer desk.Close()
			address := desk.Listener.Addr().String()
			host, _, _ := strings.Cut(address, ":")
			i := segment.Invitation{Shop: string(shop), Addresses: []string{"127.0.0.1", "127.0.0.1:1", address}, Token: []byte("0123456789abcdef")}
			pool := desk.Client().Transport.(*http.Transport).TLSClientConfig.RootCAs
			joined, err := uplink.Join(t.Context(), i, a, &tls.Config{RootCAs: pool})
			if !v.is(err) || asked != 1 {
				t.Errorf("asked %d times: %v", asked, err)
			}
			if err == nil && (!reflect.DeepEqual(joined.JoinReply, good) || joined.Broker != host+":7461") {
				t.Errorf("joined %+v", joined)
			}
		})
	}
}
