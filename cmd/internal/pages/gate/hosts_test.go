package gate_test

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/gate"
)

func says(text string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte(text)) })
}

func TestHosts(t *testing.T) {
	network := gate.Network("192.168.4.20", "Tablet.lan:8443", "[fd00::7]:8443")
	for _, c := range []struct {
		name  string
		hosts gate.Hosts
		host  string
		at    string // where the connection came in, if a server took it
		want  int
	}{
		{"localhost", gate.Loopback(), "localhost:8080", "127.0.0.1:8080", 200},
		{"in capitals", gate.Loopback(), "LocalHost", "127.0.0.1:80", 200},
		{"loopback address", gate.Loopback(), "127.0.0.1:8080", "127.0.0.1:8080", 200},
		{"loopback address of IPv6", gate.Loopback(), "[::1]:8080", "[::1]:8080", 200},
		{"without a port", gate.Loopback(), "[::1]", "[::1]:80", 200},
		{"a name pointed here", gate.Loopback(), "elsewhere.example:8080", "127.0.0.1:8080", 421},
		{"a name that ends like ours", gate.Loopback(), "localhost.elsewhere.example", "127.0.0.1:8080", 421},
		{"below localhost", gate.Loopback(), "elsewhere.localhost", "127.0.0.1:8080", 421},
		{"the address of no host", gate.Loopback(), "0.0.0.0:8080", "127.0.0.1:8080", 421},
		{"no name", gate.Loopback(), "", "127.0.0.1:8080", 421},
		{"two ports", gate.Loopback(), "localhost:1:2", "127.0.0.1:8080", 421},
		{"loopback's handler on the network", gate.Loopback(), "localhost:8080", "192.168.4.20:8080", 421},
		{"listed address", network, "192.168.4.20:9000", "192.168.4.20:9000", 200},
		{"listed address behind another", network, "192.168.4.20", "10.0.0.3:9000", 200},
		{"listed name", network, "tablet.LAN:8443", "192.168.4.20:8443", 200},
		{"listed address of IPv6", network, "[fd00::7]", "[fd00::7]:8443", 200},
		{"the address it came in at", network, "192.168.4.77:8443", "192.168.4.77:8443", 200},
		{"the same, as IPv6 writes IPv4", network, "192.168.4.77:8443", "[::ffff:192.168.4.77]:8443", 200},
		{"another address", network, "192.168.4.78:8443", "192.168.4.77:8443", 421},
		{"localhost on the network", network, "localhost:8443", "192.168.4.20:8443", 421},
		{"a name pointed at the network", network, "elsewhere.example", "192.168.4.20:8443", 421},
		{"no name on the network", network, "", "", 421},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := httptest.NewRequest("GET", "/", nil)
			r.Host = c.host
			if c.at != "" {
				at, err := net.ResolveTCPAddr("tcp", c.at)
				if err != nil {
					t.Fatal(err)
				}
				r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, at))
			}
			w := httptest.NewRecorder()
			c.hosts.Only(says("in"), nil).ServeHTTP(w, r)
			if w.Code != c.want {
				t.Errorf("Host %q at %s: %d, want %d", c.host, c.at, w.Code, c.want)
			}
			if body := w.Body.String(); (body == "in") != (c.want == 200) || body == "" {
				t.Errorf("answered %q", body)
			}
		})
	}
}

// A true server says at what address a connection came in.
func TestHostsServer(t *testing.T) {
	server := httptest.NewServer(gate.Network().Only(says("in"), nil))
	defer server.Close()
	for host, want := range map[string]int{server.Listener.Addr().String(): 200, "elsewhere.example": 421} {
		r, err := http.NewRequest("GET", server.URL, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		resp, err := server.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		if err := resp.Body.Close(); err != nil || resp.StatusCode != want {
			t.Errorf("Host %s: %d, %v, want %d", host, resp.StatusCode, err, want)
		}
	}
}

func FuzzHosts(f *testing.F) {
	for _, s := range []string{"localhost:8080", "[::1]:1", "[::1", "]:", "a:b:c", "127.0.0.1.", "[fe80::1%eth0]:80"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, host string) {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = host
		w := httptest.NewRecorder()
		gate.Loopback().Only(says("in"), nil).ServeHTTP(w, r)
		lower := strings.ToLower(host)
		if w.Code == 200 && !strings.Contains(lower, "localhost") && !strings.Contains(lower, "127.") && !strings.Contains(lower, ":") {
			t.Errorf("answered to %q", host)
		}
	})
}
