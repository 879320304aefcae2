package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/sync/witness"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// outside says by whom a hub has its log witnessed, and whose logs it
// witnesses. Left out, nobody is asked and nobody is answered.
type outside struct {
	Timestamp  string   `help:"Have the state of the hub’s log timestamped once a day by the authority at this address (RFC 3161)." placeholder:"URL"`
	Witness    []string `sep:"none" help:"Have it signed once a day by a witness, such as another shop’s hub: its countersigning key, @, and its address; can be given again (C2SP tlog-witness)." placeholder:"KEY@URL"`
	WitnessFor []string `sep:"none" help:"Be a witness of the log with this key, such as another shop’s; can be given again." placeholder:"KEY"`
}

// witnessPrefix is where at a hub's desk other hubs ask it to sign.
const witnessPrefix = "/witness"

// keeper makes what has the hub's log witnessed; nil if nobody is to be asked.
func (c *outside) keeper(s *hubProcess, key, cosign proof.Key) (*witness.Keeper, error) {
	if c.Timestamp == "" && len(c.Witness) == 0 {
		return nil, nil
	}
	cfg := witness.KeeperConfig{Hub: s.hub, Grown: s.grown, Kept: witness.OpenDir(folder.WitnessedPath(s.f.Dir)), Now: s.t.Now, Logger: s.t.Logger}
	var err error
	if cfg.Key, err = proof.Verifier(key.Verifier()); err != nil {
		return nil, err
	}
	if cfg.Cosigner, err = proof.CosignVerifier(cosign.Verifier()); err != nil {
		return nil, err
	}
	cfg.Open = func(signed []byte) (proof.Checkpoint, time.Time, error) {
		keys, err := s.f.Log.Succession(context.Background()) // which reads what lies here
		if err != nil {
			return proof.Checkpoint{}, time.Time{}, err
		}
		state, at, _, err := keys.Open(signed, s.f.Device, "")
		return state, at, err
	}
	if c.Timestamp != "" {
		if !isAddress(c.Timestamp) {
			return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--timestamp %s: write the authority’s address, such as https://time.example/tsa", c.Timestamp)}
		}
		cfg.Authority = &witness.Authority{URL: c.Timestamp, HTTP: &http.Client{}, Rand: s.t.Rand}
	}
	// A hub has a certificate that no other shop knows; what a witness says
	// counts by its signature, which no one in between can make.
	open := http.DefaultTransport.(*http.Transport).Clone()
	open.TLSClientConfig = &tls.Config{InsecureSkipVerify: true}
	for _, text := range c.Witness {
		at := strings.LastIndex(text, "@http")
		if at < 0 || !isAddress(text[at+1:]) {
			return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--witness %s: write the witness’s key, @, and its address, such as fettlebook/b3tterq2/hub+…@https://192.168.1.20:7460%s", text, witnessPrefix)}
		}
		v, err := witnessed.Verifier(text[:at])
		if err != nil {
			return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--witness %s: what stands before the @ is not the key of a witness; `fettlebook hub keys` prints it there", text), Err: err}
		}
		if err := cfg.Kept.Know(text[:at]); err != nil {
			return nil, err
		}
		cfg.Peers = append(cfg.Peers, &witness.Peer{URL: text[at+1:], Key: v, HTTP: &http.Client{Transport: open}})
	}
	return witness.NewKeeper(cfg), nil
}

func isAddress(text string) bool {
	u, err := url.Parse(text)
	return err == nil && (u.Scheme == "https" || u.Scheme == "http") && u.Host != ""
}

// witness makes what signs the states of other shops' logs; nil if it is to
// sign none. Its own shop's logs a hub countersigns: as their witness it would
// say nothing new.
func (c *outside) witness(s *hubProcess, cosign proof.Key) (*witness.Witness, error) {
	var logs []note.Verifier
	for _, text := range c.WitnessFor {
		v, err := proof.Verifier(text)
		if err != nil {
			return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--witness-for %s: that is not the key of a log; `fettlebook hub keys` prints it at the other shop", text), Err: err}
		}
		if strings.HasPrefix(v.Name(), proof.Origin(s.f.Shop, "")) {
			return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--witness-for %s: that is a log of this shop, which the hub countersigns anyway", text)}
		}
		logs = append(logs, v)
	}
	if len(logs) == 0 {
		return nil, nil
	}
	return witness.New(witness.Config{Logs: logs, Signer: cosign, Path: filepath.Join(folder.WitnessedPath(s.f.Dir), "for"), Now: s.t.Now, Logger: s.t.Logger}), nil
}

// grown proves how the hub's log grew.
func (s *hubProcess) grown(ctx context.Context, size, old int64) (tlog.TreeProof, error) {
	stored, err := s.f.Log.Hashes(ctx, s.f.Device)
	if err != nil {
		return nil, err
	}
	p, err := tlog.ProveTree(size, old, stored)
	if err != nil {
		return nil, fmt.Errorf("prove that the hub’s log grew: %w", err)
	}
	return p, nil
}

// witnessed tells the desk how things stand with those who are asked; nil if
// nobody is.
func (s *hubProcess) witnessed() func(context.Context) (desk.Witnessed, error) {
	if s.keeper == nil {
		return nil
	}
	return func(ctx context.Context) (desk.Witnessed, error) {
		st, err := s.keeper.Status(ctx)
		w := desk.Witnessed{Last: st.Last, By: st.By}
		for _, t := range st.Troubles {
			w.Troubles = append(w.Troubles, desk.Trouble{Who: t.Who, Since: t.Since, Says: t.Say()})
		}
		return w, err
	}
}
