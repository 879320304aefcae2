package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strconv"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/sync/broker"
)

// phones lets telephones in at a tablet's pages.
type phones struct {
	pairing  *gate.Pairing
	sessions *gate.Sessions
	line     *phoneLine
	counts   *counts
	logger   *slog.Logger
}

// On implements [bench.Phones].
func (p *phones) On() bool {
	_, _, open := p.line.where()
	return open
}

// Turn implements [bench.Phones]. Who was let in stays so, and finds nobody in while it is
// off; a code that was shown before is worth nothing any more.
func (p *phones) Turn(ctx context.Context, on bool) error {
	if on {
		return p.line.opens(ctx)
	}
	p.pairing.Withdraw()
	return p.line.shuts(ctx)
}

// Offer implements [bench.Phones]. An offer that nobody has taken up is shown
// again. The addresses are asked for anew each time: a tablet changes them when
// it moves to another network.
func (p *phones) Offer() (bench.Offer, error) {
	host, port, _ := p.line.where()
	hosts, err := ownAddresses(host)
	if err != nil {
		return bench.Offer{}, err
	}
	o, ok := p.pairing.Open()
	if !ok {
		if o, err = p.pairing.Offer(); err != nil {
			return bench.Offer{}, err
		}
	}
	offer := bench.Offer{Code: o.Typed, Until: o.Until}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip == nil || !ip.IsLoopback() || len(hosts) == 1 {
			offer.Links = append(offer.Links, "https://"+net.JoinHostPort(h, strconv.Itoa(port))+"/pair/"+o.Link)
		}
	}
	if len(offer.Links) == 0 {
		return bench.Offer{}, errors.New("this tablet is in no network, so no phone can reach it; join the shop’s Wi-Fi and look again")
	}
	return offer, nil
}

// Redeem implements [bench.Phones].
func (p *phones) Redeem(w http.ResponseWriter, r *http.Request, code, name string) error {
	holder, err := p.pairing.Redeem(code, name)
	if err != nil {
		p.counts.signInsRefused.Add(1)
		p.logger.InfoContext(r.Context(), "sign-in refused", "role", gate.Phone, "from", gate.From(r), "error", err)
		return err
	}
	if _, err = p.sessions.SignIn(w, r, holder); err == nil {
		p.counts.signIns.Add(1)
		p.logger.InfoContext(r.Context(), "sign-in", "role", gate.Phone, "from", gate.From(r))
	}
	return err
}

// Is implements [bench.Phones]. A tablet's own screen needs no session.
func (p *phones) Is(r *http.Request) bool {
	_, paired := gate.Of(r.Context())
	return paired
}

// List implements [bench.Phones].
func (p *phones) List() []bench.Phone {
	var list []bench.Phone
	for _, s := range p.sessions.List() {
		if s.Role == gate.Phone {
			list = append(list, bench.Phone{ID: string(s.ID), Name: s.Name, Used: s.Used})
		}
	}
	return list
}

// Forget implements [bench.Phones].
func (p *phones) Forget(id string) error { return p.sessions.End(gate.SessionID(id)) }

// certificateLife is how long before its end a tablet's certificate is made
// anew; the certificate itself holds longer.
const certificateLife = 30 * 24 * time.Hour

// ownCertificate is a tablet's certificate for telephones, drawn when it is
// first needed.
func ownCertificate(t *terminal, dir string) (*tls.Config, error) {
	cert, err := readCertificate(dir)
	if err == nil && cert.pair.Leaf != nil && cert.pair.Leaf.NotAfter.Sub(t.Now()) > certificateLife {
		return cert.server(), nil
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	hosts, err := ownAddresses("0.0.0.0")
	if err != nil {
		return nil, err
	}
	certPEM, keyPEM, err := broker.NewCertificate(t.Now(), t.Rand, hosts)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(folder.WriteKey(dir, folder.CertFile, certPEM), folder.WriteKey(dir, folder.CertKey, keyPEM)); err != nil {
		return nil, fmt.Errorf("keep the certificate for phones: %w", err)
	}
	if cert, err = readCertificate(dir); err != nil {
		return nil, err
	}
	return cert.server(), nil
}
