package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/media/durable"
	"fettlebook/sync/broker"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// admitter is the hub's door at the broker. The list is kept in a file, so
// that a hub that lost its database still lets its tablets in: they bring
// back what it lost. It says who they are and never what they may do, which
// older programs wrote into it too.
type admitter struct {
	dir    string
	shop   journal.ShopID
	hub    string // public key of the hub's own connection
	broker interface {
		Reload(who broker.Register) error
	}
	logger *slog.Logger
}

const admittedFile = "admitted.json"

// Admit implements [hub.Door]. Who is cut off is so at once, also where the list cannot be
// kept, such as on a full disk: at its next start the hub goes by the register and keeps
// the list anew.
func (a admitter) Admit(ctx context.Context, clients []hub.Client) error {
	if err := a.broker.Reload(broker.Register{Hub: a.hub, Devices: devices(a.shop, clients)}); err != nil {
		return err
	}
	if err := a.keep(clients); err != nil {
		a.logger.ErrorContext(ctx, "keep the list of tablets", "error", err)
	}
	return nil
}

func (a admitter) keep(clients []hub.Client) error {
	raw, err := json.Marshal(clients, jsontext.WithIndent("  "))
	if err != nil {
		return fmt.Errorf("encode the list of tablets: %w", err)
	}
	return durable.WriteFile(filepath.Join(a.dir, admittedFile), raw, 0o600)
}

// readAdmitted reads the list that was in force when the hub last ran.
func readAdmitted(dir string) ([]hub.Client, error) {
	raw, err := os.ReadFile(filepath.Join(dir, admittedFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the list of tablets: %w", err)
	}
	var clients []hub.Client
	if err := json.Unmarshal(raw, &clients); err != nil {
		return nil, fmt.Errorf("the file %s cannot be read; remove it, and the hub writes it again (%w)", admittedFile, err)
	}
	return clients, nil
}

func devices(shop journal.ShopID, clients []hub.Client) []broker.Device {
	var list []broker.Device
	for _, c := range clients {
		publish, subscribe := segment.Permissions(shop, c.Device)
		list = append(list, broker.Device{NKey: c.Key, Publish: publish, Subscribe: subscribe})
	}
	return list
}

// certificate is the hub's own.
type certificate struct{ pair tls.Certificate }

func readCertificate(dir string) (certificate, error) {
	certPEM, err := folder.ReadKey(dir, folder.CertFile)
	if err != nil {
		return certificate{}, err
	}
	keyPEM, err := folder.ReadKey(dir, folder.CertKey)
	if err != nil {
		return certificate{}, err
	}
	pair, err := tls.X509KeyPair(certPEM, keyPEM)
	if err != nil {
		return certificate{}, fmt.Errorf("the hub’s certificate cannot be read; restore keys/ from your backup (%w)", err)
	}
	return certificate{pair}, nil
}

func (c certificate) server() *tls.Config {
	return &tls.Config{Certificates: []tls.Certificate{c.pair}, MinVersion: tls.VersionTLS13}
}

// quiet sends an HTTP server's own words to the log, for who asks for them; but a page
// that ended in a panic is told to everybody.
func quiet(l *slog.Logger) *log.Logger { return log.New(spoken{l}, "", 0) }

type spoken struct{ logger *slog.Logger }

func (s spoken) Write(p []byte) (int, error) {
	level, text := slog.LevelDebug, strings.TrimRight(string(p), "\n")
	if strings.Contains(text, "panic serving") {
		level = slog.LevelError
	}
	s.logger.Log(context.Background(), level, text)
	return len(p), nil
}
