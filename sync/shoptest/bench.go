package shoptest

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"path/filepath"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/photodir"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"

	"github.com/nats-io/nkeys"
)

// Bench is a tablet on a folder of its own. Its log can be written to with or
// without a connection.
type Bench struct {
	DB     *sqlitelog.DB
	Photos *photodir.Dir
	Uplink *uplink.Uplink // while connected
	ID     BenchIdentity

	codec  *segment.Codec
	wire   *uplink.Wire
	cancel context.CancelFunc
	work   sync.WaitGroup
}

// BenchIdentity is what a tablet keeps in its folder besides its data.
type BenchIdentity struct {
	Shop      journal.ShopID
	Device    journal.DeviceID
	Hub       journal.DeviceID
	Log, Line string // secrets
	HubKey    string
	CosignKey string
	Agreed    []segment.AgreedKeys
	Brokers   []string
	Pin       string
}

// Applicant draws the keys of a new tablet.
func Applicant(shop journal.ShopID, name string) (uplink.Applicant, error) {
	device, err := journal.NewDeviceID(rand.Reader)
	if err != nil {
		return uplink.Applicant{}, err
	}
	key, err := proof.NewKey(rand.Reader, proof.Origin(shop, device))
	if err != nil {
		return uplink.Applicant{}, err
	}
	line, err := nkeys.CreateUser()
	return uplink.Applicant{Device: device, Name: name, Log: key, Line: line}, err
}

// Join lets a new tablet into a shop and makes its folder.
func Join(ctx context.Context, dir string, i segment.Invitation, a uplink.Applicant) error {
	_, err := join(ctx, dir, i, a)
	return err
}

func join(ctx context.Context, dir string, i segment.Invitation, a uplink.Applicant) (uplink.Joined, error) {
	joined, err := uplink.Join(ctx, i, a, broker.ClientTLS(i.Fingerprint))
	if err != nil {
		return joined, err
	}
	seed, err := a.Line.Seed()
	if err != nil {
		return joined, err
	}
	return joined, writeJSON(filepath.Join(dir, "tablet.json"), BenchIdentity{Shop: joined.Shop, Device: a.Device, Hub: joined.Hub,
		Log: a.Log.Secret(), Line: string(seed), HubKey: joined.HubKey, CosignKey: joined.CosignKey, Agreed: joined.Agreed,
		Brokers: []string{joined.Broker}, Pin: i.Fingerprint})
}

// ReadIdentity reads what a tablet keeps in its folder besides its data.
func ReadIdentity(dir string, id *BenchIdentity) error {
	return readJSON(filepath.Join(dir, "tablet.json"), id)
}

// OpenBench opens a tablet's folder without connecting.
func OpenBench(ctx context.Context, dir string, now func() time.Time) (*Bench, error) {
	b := &Bench{}
	if err := ReadIdentity(dir, &b.ID); err != nil {
		return nil, err
	}
	key, err := proof.ParseKey(b.ID.Log)
	if err != nil {
		return nil, err
	}
	boot, err := journal.NewBootID(rand.Reader)
	if err != nil {
		return nil, err
	}
	now = wall(now)
	if b.DB, err = sqlitelog.Open(ctx, filepath.Join(dir, "log.db"), sqlitelog.Options{Shop: b.ID.Shop, Own: b.ID.Device, Key: key,
		Hub: b.ID.Hub, HubKey: b.ID.HubKey, CosignKey: b.ID.CosignKey, Agreed: fingerprints(b.ID.Agreed), Boot: boot, Clock: journal.NewClock(now, rand.Reader), Now: now, Started: now()}); err != nil {
		return nil, err
	}
	if b.Photos, err = photodir.Open(filepath.Join(dir, "photos")); err != nil {
		return nil, errors.Join(err, b.DB.Close())
	}
	if b.codec, err = segment.NewCodec(); err != nil {
		return nil, errors.Join(err, b.DB.Close())
	}
	return b, nil
}

// Connection says how a tablet connects.
type Connection struct {
	Now    func() time.Time
	Every  time.Duration
	Retry  time.Duration
	Line   func(uplink.Line) uplink.Line // puts something between; nil: nothing
	Logger *slog.Logger
}

// Connect starts the tablet's sync.
func (b *Bench) Connect(ctx context.Context, c Connection) error {
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	var err error
	if b.wire, err = uplink.Connect(uplink.LineConfig{Shop: b.ID.Shop, Device: b.ID.Device, Brokers: b.ID.Brokers,
		TLS: broker.PinnedTLS(b.pin), Seed: []byte(b.ID.Line), Logger: c.Logger, Retry: c.Retry}); err != nil {
		return err
	}
	var line uplink.Line = b.wire
	if c.Line != nil {
		line = c.Line(line)
	}
	b.Uplink = uplink.New(uplink.Config{Shop: b.ID.Shop, Device: b.ID.Device, Line: line,
		Log: b.DB, History: b.DB, Receipts: b.DB, Cards: b.DB, Photos: b.DB, Originals: b.Photos,
		Agreed: b.saysAgreed, Codec: b.codec, Now: wall(c.Now), Compared: b.DB.Compared, Logger: c.Logger,
		Every: c.Every})
	ctx, b.cancel = context.WithCancel(context.WithoutCancel(ctx))
	b.work.Go(func() { b.Uplink.Run(ctx) })
	return nil
}

// Disconnect stops the sync; the log stays open.
func (b *Bench) Disconnect() error {
	if b.cancel == nil {
		return nil
	}
	b.cancel()
	b.work.Wait()
	b.cancel = nil
	return b.wire.Close()
}

// Close ends all use of the folder.
func (b *Bench) Close() error {
	err := b.Disconnect()
	b.codec.Close()
	return errors.Join(err, b.DB.Close())
}

// pin is the certificate by which the tablet knows its hub now.
func (b *Bench) pin() string {
	keys, err := b.DB.Succession(context.Background())
	if n := len(b.ID.Agreed); err == nil && n > 0 && !keys.Had(b.ID.Agreed[n-1].Keys) {
		return b.ID.Agreed[n-1].Certificate
	}
	if now := keys.Now(); err == nil && now.Change != nil {
		return now.Change.Certificate
	}
	return b.ID.Pin
}

// saysAgreed is what greetings say of the hub's keys.
func (b *Bench) saysAgreed() []byte {
	key, err := proof.ParseKey(b.ID.Log)
	if n := len(b.ID.Agreed); err == nil && n > 0 {
		last := b.ID.Agreed[n-1].Keys
		return key.Sign(segment.AgreePurpose, last[:])
	}
	return nil
}

func fingerprints(list []segment.AgreedKeys) (keys []journal.Digest) {
	for _, a := range list {
		keys = append(keys, a.Keys)
	}
	return keys
}
