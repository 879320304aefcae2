package main

import (
	"context"
	"net"
	"net/http"
	"strconv"

	"fettlebook/sync/segment"
)

// openDesk opens the hub's pages: to this machine's browser at the entrance,
// and in the network over TLS with the hub's own certificate, at the port where
// tablets join.
func (s *station) openDesk(ctx context.Context, cert certificate) (*serving, error) {
	l, err := listen(ctx, "desk-port", net.JoinHostPort(s.f.Host, strconv.Itoa(s.f.DeskPort)))
	if err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	mux.Handle("POST "+segment.JoinPath, s.hub.Desk())
	out := &serving{logger: s.t.Logger}
	return out, out.serve(ctx, l, mux, cert.server())
}
