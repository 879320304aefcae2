package gate

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// Hosts are the names and addresses by which a listener may be spoken to.
type Hosts struct {
	loopback bool
	names    map[string]bool
	addrs    map[netip.Addr]bool
}

// Loopback are the names of a loopback listener: localhost, 127.0.0.0/8 and
// ::1, with any port.
func Loopback() Hosts {
	return Hosts{loopback: true, names: map[string]bool{"localhost": true}}
}

// Network are the names and addresses listed, with or without a port, and
// whatever address a connection came in at: a machine's address on the Wi-Fi may
// change while the program runs, and an address cannot be pointed elsewhere as a
// name can.
func Network(listed ...string) Hosts {
	h := Hosts{names: make(map[string]bool), addrs: make(map[netip.Addr]bool)}
	for _, l := range listed {
		if name, addr := splitHost(l); addr.IsValid() {
			h.addrs[addr] = true
		} else if name != "" {
			h.names[name] = true
		}
	}
	return h
}

// Only passes on the requests whose Host header is one of h and answers 421 to
// others. [Loopback] refuses a connection that came in at any other address too,
// should its handler ever be given to a listener on the network.
func (h Hosts) Only(next http.Handler, refuse Refuse) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !h.has(r) {
			refuse.answer(w, r, http.StatusMisdirectedRequest, "Not by this name", "This machine does not answer to the name in the address line. Open the page by the address that the program printed when it started.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (h Hosts) has(r *http.Request) bool {
	name, addr := splitHost(r.Host)
	at := localAddr(r)
	if h.loopback {
		return (!at.IsValid() || at.IsLoopback()) && (addr.IsLoopback() || h.names[name])
	}
	if !addr.IsValid() {
		return h.names[name]
	}
	return h.addrs[addr] || addr == at
}

// Here reports whether a request was made by this machine's own browser, at a loopback
// address.
func Here(r *http.Request) bool { return Loopback().has(r) }

// localAddr is the address that the connection came in at, if a server of
// net/http took it.
func localAddr(r *http.Request) netip.Addr {
	tcp, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr)
	if !ok {
		return netip.Addr{}
	}
	return plain(tcp.AddrPort().Addr())
}

// splitHost takes the port off. The address is the zero Addr if the host is a
// name.
func splitHost(host string) (name string, addr netip.Addr) {
	name = strings.ToLower(host)
	if h, _, err := net.SplitHostPort(name); err == nil {
		name = h
	} else if inner, ok := strings.CutPrefix(name, "["); ok {
		name = strings.TrimSuffix(inner, "]")
	}
	addr, err := netip.ParseAddr(name)
	if err != nil {
		return name, netip.Addr{}
	}
	return name, plain(addr)
}

// plain writes one address one way.
func plain(a netip.Addr) netip.Addr { return a.Unmap().WithZone("") }
