package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"strconv"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// benchFolder is where a hub keeps the bench that runs in its own process.
const benchFolder = "bench"

// serveBench runs a tablet beside the hub, in the same process, with a log
// of its own. The first time it invites and joins itself.
func serveBench(ctx context.Context, s *hubProcess, at benchAt) error {
	dir := filepath.Join(s.f.Dir, benchFolder)
	select {
	case <-s.hub.Ready():
	case <-ctx.Done():
		return nil
	}
	if _, err := folder.ReadIdentity(dir); errors.Is(err, folder.ErrNoFolder) {
		if err := joinBench(ctx, s, dir); err != nil {
			return fmt.Errorf("set up the bench: %w", err)
		}
	}
	f, err := folder.Open(ctx, dir, s.t.folder())
	if err != nil {
		return fmt.Errorf("open the bench: %w", err)
	}
	f.Brokers = []string{net.JoinHostPort(loopback(s.f.Host), strconv.Itoa(s.f.BrokerPort))}
	fmt.Fprintf(s.t.Out, "The bench is up too: write with --data %s\n", dir)
	return errors.Join(serveTablet(ctx, s.t, f, at), f.Close())
}

func joinBench(ctx context.Context, s *hubProcess, dir string) error {
	expires := s.t.Now().Add(time.Minute)
	token, draft, err := hub.NewInvitation(s.f.Shop, "hub", "bench", expires, s.t.Rand)
	if err != nil {
		return err
	}
	if _, err := s.store().Append(ctx, draft); err != nil {
		return err
	}
	invitation := segment.Invitation{Shop: string(s.f.Shop), ShopName: s.f.ShopName, Fingerprint: s.f.Fingerprint, Token: token,
		Addresses: []string{net.JoinHostPort(loopback(s.f.Host), strconv.Itoa(s.f.DeskPort))}, Expires: expires.Unix(), Name: "bench"}
	lock, err := folder.Lock(dir)
	if err != nil {
		return err
	}
	_, _, err = joinShop(ctx, s.t, dir, invitation, "bench")
	return errors.Join(err, lock.Unlock())
}

// loopback is how a program on this machine reaches what listens on host.
func loopback(host string) string {
	if host == "0.0.0.0" || host == "::" || host == "" {
		return "127.0.0.1"
	}
	return host
}
