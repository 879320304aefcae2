package gate_test

import (
	"context"
	"crypto/tls"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/gate"
)

const tabletAddr = "192.168.4.20:8443"

// arrive makes a request as the listener at an address hands it over.
func arrive(method, at, host string, secure bool) *http.Request {
	r := httptest.NewRequest(method, "/", nil)
	addr, err := net.ResolveTCPAddr("tcp", at)
	if err != nil {
		panic(err)
	}
	r.Host = host
	// All that a sender can make up, and it says that it sits at the machine.
	r.RemoteAddr = "127.0.0.1:5000"
	r.Header.Set("X-Forwarded-For", "127.0.0.1")
	r.Header.Set("Forwarded", "for=127.0.0.1;host=localhost")
	r.Header.Set("X-Real-Ip", "127.0.0.1")
	if secure {
		r.TLS = new(tls.ConnectionState)
	}
	return r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, addr))
}

func TestGate(t *testing.T) {
	s := open(t, keepIn(t.TempDir()))
	g := gate.Gate{Sessions: s, Hosts: []string{tabletAddr}}
	bench := g.Bench(says("in"), says("out"))
	office := g.Desk(says("in"), says("out"))

	// Each browser is signed in both over TLS and without.
	stranger, phone, clerk := newBrowser(), newBrowser(), newBrowser()
	for _, secure := range []bool{false, true} {
		phone.tls, clerk.tls = secure, secure
		signIn(t, s, phone, bluePhone)
		signIn(t, s, clerk, desk)
	}
	for _, c := range []struct {
		name    string
		h       http.Handler
		network bool
		b       *browser
		want    string
	}{
		{"bench, at the tablet, anybody", bench.Loopback, false, stranger, "in"},
		{"bench, network, stranger", bench.Network, true, stranger, "out"},
		{"bench, network, phone", bench.Network, true, phone, "in"},
		{"bench, network, clerk", bench.Network, true, clerk, "out"},
		{"desk, at the hub, stranger", office.Loopback, false, stranger, "out"},
		{"desk, at the hub, phone", office.Loopback, false, phone, "out"},
		{"desk, at the hub, clerk", office.Loopback, false, clerk, "in"},
		{"desk, network, stranger", office.Network, true, stranger, "out"},
		{"desk, network, phone", office.Network, true, phone, "out"},
		{"desk, network, clerk", office.Network, true, clerk, "in"},
	} {
		t.Run(c.name, func(t *testing.T) {
			at, host := "127.0.0.1:8080", "localhost:8080"
			if c.network {
				at, host = tabletAddr, tabletAddr
			}
			if got := c.b.send(c.h, arrive("GET", at, host, c.network)).Body.String(); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
			if w := c.b.send(c.h, arrive("GET", at, "elsewhere.example", c.network)); w.Code != 421 {
				t.Errorf("by another name: %d", w.Code)
			}
			forged := arrive("POST", at, host, c.network)
			forged.Header.Set("Sec-Fetch-Site", "cross-site")
			if w := c.b.send(c.h, forged); w.Code != 403 {
				t.Errorf("from another site: %d", w.Code)
			}
			long := arrive("POST", at, host, c.network)
			long.Header.Set("Sec-Fetch-Site", "same-origin")
			long.ContentLength = gate.BodyLimit + 1
			if w := c.b.send(c.h, long); w.Code != 413 {
				t.Errorf("too long: %d", w.Code)
			}
		})
	}
	if w := stranger.send(bench.Loopback, arrive("GET", tabletAddr, "localhost:8080", false)); w.Code != 421 {
		t.Errorf("the tablet’s own way, opened on the network: %d", w.Code)
	}
}

func TestOf(t *testing.T) {
	s, b := open(t, keepIn(t.TempDir())), newBrowser()
	want := signIn(t, s, b, bluePhone)
	b.do(s.Require(gate.Phone, http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		if got, ok := gate.Of(r.Context()); !ok || got != want {
			t.Errorf("%v, %v, want %v", got, ok, want)
		}
	}), says("out")))
	if got, ok := gate.Of(context.Background()); ok {
		t.Errorf("without a session: %v", got)
	}
}

// What is being served to a phone stops when the phone is forgotten, and when
// its time is up.
func TestRequireEnds(t *testing.T) {
	for name, end := range map[string]func(*gate.Sessions, gate.Session) error{
		"forgotten": func(s *gate.Sessions, one gate.Session) error { return s.End(one.ID) },
		"time up":   func(*gate.Sessions, gate.Session) error { <-time.After(30 * 24 * time.Hour); return nil },
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s, b := open(t, keepIn(t.TempDir())), newBrowser()
				one := signIn(t, s, b, bluePhone)
				stopped := make(chan struct{})
				live := s.Require(gate.Phone, http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
					<-r.Context().Done()
					close(stopped)
				}), says("out"))
				go b.do(live)
				<-time.After(29 * 24 * time.Hour)
				synctest.Wait()
				select {
				case <-stopped:
					t.Fatal("stopped before the end")
				default:
				}
				if err := end(s, one); err != nil {
					t.Error(err)
				}
				synctest.Wait()
				select {
				case <-stopped:
				default:
					t.Fatal("still served")
				}
			})
		})
	}
}

// The whole way over true connections: a phone pairs and comes in, a page of
// another port does not.
func TestGateServed(t *testing.T) {
	s, pairing := open(t, keepIn(t.TempDir())), gate.NewPairing(time.Now, zeroes{})
	offer, err := pairing.Offer()
	if err != nil {
		t.Fatal(err)
	}
	outside := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h, err := pairing.Redeem(r.FormValue("code"), "Blue phone")
		if err == nil {
			_, err = s.SignIn(w, r, h)
		}
		if err != nil {
			http.Error(w, err.Error(), http.StatusForbidden)
			return
		}
		http.Redirect(w, r, "/", http.StatusSeeOther)
	})
	server := httptest.NewTLSServer(gate.Gate{Sessions: s}.Bench(says("in"), outside).Network)
	defer server.Close()
	b := newBrowser()
	ask := func(method, query string, header ...string) (code int) {
		r, err := http.NewRequest(method, server.URL+"/"+query, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range b.jar {
			r.AddCookie(c)
		}
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		resp, err := server.Client().Transport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range resp.Cookies() {
			b.jar[c.Name] = c
		}
		if err := resp.Body.Close(); err != nil {
			t.Error(err)
		}
		return resp.StatusCode
	}
	code := "?code=" + offer.Link
	for _, step := range []struct {
		what string
		got  int
		want int
	}{
		{"stranger", ask("GET", ""), 403},
		{"form of another port", ask("POST", code, "Origin", strings.Replace(server.URL, "127.0.0.1:", "127.0.0.1:1", 1)), 403},
		{"own form", ask("POST", code, "Origin", server.URL), 303},
		{"paired", ask("GET", ""), 200},
		{"paired, form of another site", ask("POST", "", "Sec-Fetch-Site", "cross-site"), 403},
	} {
		if step.got != step.want {
			t.Errorf("%s: %d, want %d", step.what, step.got, step.want)
		}
	}
	if len(b.jar) != 1 || b.jar["__Host-phone-k7f2m9qa"] == nil || !b.jar["__Host-phone-k7f2m9qa"].Secure {
		t.Errorf("cookies %v", b.jar)
	}
}
