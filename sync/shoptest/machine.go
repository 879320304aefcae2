package shoptest

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	mathrand "math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/photodir"
	"fettlebook/sync/broker"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/nats-io/nkeys"
)

// Settings are what a test may want different at a hub.
type Settings struct {
	Now      func() time.Time       // nil: the wall clock
	Free     func() (uint64, error) // of the hub's disk; nil: plenty
	Patience time.Duration          // see [hub.Config]
	Logger   *slog.Logger           // nil: silence
}

// Machine is a running hub on a folder of its own. Everything that it needs to
// start again is in the folder.
type Machine struct {
	Hub     *hub.Hub
	DB      *sqlitelog.DB
	Photos  *photodir.Dir
	Broker  *broker.Broker
	Address string // of the joining desk

	id    hubIdentity
	dir   string
	codec *segment.Codec
	conn  *nats.Conn

	admitted []hub.Client
	desk     *http.Server
	cancel   context.CancelFunc
	work     sync.WaitGroup
	failed   error // of the hub's Run; read after work
}

// hubIdentity is what a hub keeps in its folder besides its data.
type hubIdentity struct {
	Shop                   journal.ShopID
	Device                 journal.DeviceID
	Log, Cosign, Line      string // secrets
	HubKey, CosignKey      string // that founded the shop
	Agreed                 []segment.AgreedKeys
	CertPEM, KeyPEM        []byte
	BrokerPort, DeskPort   int
	logKey, cosigner       proof.Key
	line                   nkeys.KeyPair
	cert                   tls.Certificate
	linePublic, pinnedCert string
}

const (
	shopName = "Backyard Brakes"
	hubBy    = journal.PersonID("hub")
)

// Found makes a new hub's folder: keys, certificate, and a log whose first
// entry founds the shop.
func Found(ctx context.Context, dir string) error {
	shop, err := journal.NewShopID(rand.Reader)
	if err != nil {
		return err
	}
	device, err := journal.NewDeviceID(rand.Reader)
	if err != nil {
		return err
	}
	id := hubIdentity{Shop: shop, Device: device}
	logKey, err := proof.NewKey(rand.Reader, proof.Origin(shop, device))
	if err != nil {
		return err
	}
	cosigner, err := proof.NewKey(rand.Reader, proof.CosignerName(shop))
	if err != nil {
		return err
	}
	id.Log, id.Cosign = logKey.Secret(), cosigner.Secret()
	id.HubKey, id.CosignKey = logKey.Verifier(), cosigner.Verifier()
	if id.Line, err = newLineSeed(); err != nil {
		return err
	}
	if id.CertPEM, id.KeyPEM, err = broker.NewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"}); err != nil {
		return err
	}
	// The ports stay the same over restarts, as a shop's do.
	if id.BrokerPort, err = freePort(); err != nil {
		return err
	}
	if id.DeskPort, err = freePort(); err != nil {
		return err
	}
	if err := writeJSON(filepath.Join(dir, "hub.json"), id); err != nil {
		return err
	}
	db, err := openHubLog(ctx, dir, id, Settings{})
	if err != nil {
		return err
	}
	_, err = db.Append(ctx, journal.Draft{Subject: journal.Of("shop", string(shop)), By: hubBy,
		Data: &journal.Shop{Shop: shop, Name: shopName, LogKey: logKey.Verifier(), CosignKey: cosigner.Verifier()}})
	return errors.Join(err, db.Close())
}

func openHubLog(ctx context.Context, dir string, id hubIdentity, set Settings) (*sqlitelog.DB, error) {
	key, err := proof.ParseKey(id.Log)
	if err != nil {
		return nil, err
	}
	now := wall(set.Now)
	boot, err := journal.NewBootID(rand.Reader)
	if err != nil {
		return nil, err
	}
	return sqlitelog.Open(ctx, filepath.Join(dir, "log.db"), sqlitelog.Options{Shop: id.Shop, Own: id.Device, Key: key,
		Hub: id.Device, HubKey: id.HubKey, CosignKey: id.CosignKey, Agreed: fingerprints(id.Agreed), Boot: boot, Clock: journal.NewClock(now, rand.Reader),
		Now: now, Started: now(), Free: set.Free})
}

func wall(now func() time.Time) func() time.Time {
	if now == nil {
		return time.Now
	}
	return now
}

// Start starts the hub of a folder. Close it when done.
func Start(ctx context.Context, dir string, set Settings) (*Machine, error) {
	m := &Machine{dir: dir}
	if set.Logger == nil {
		set.Logger = slog.New(slog.DiscardHandler)
	}
	if err := errors.Join(m.readIdentity(), m.openStores(ctx, set)); err != nil {
		return nil, errors.Join(err, m.Close())
	}
	if err := m.openBroker(ctx, set); err != nil {
		return nil, errors.Join(err, m.Close())
	}
	if err := m.openHub(ctx, set); err != nil {
		return nil, errors.Join(err, m.Close())
	}
	return m, nil
}

func (m *Machine) readIdentity() error {
	if err := readJSON(filepath.Join(m.dir, "hub.json"), &m.id); err != nil {
		return err
	}
	var err, err2, err3, err4 error
	m.id.logKey, err = proof.ParseKey(m.id.Log)
	m.id.cosigner, err2 = proof.ParseKey(m.id.Cosign)
	m.id.line, err3 = nkeys.FromSeed([]byte(m.id.Line))
	m.id.cert, err4 = tls.X509KeyPair(m.id.CertPEM, m.id.KeyPEM)
	if err := errors.Join(err, err2, err3, err4); err != nil {
		return err
	}
	m.id.pinnedCert = broker.Fingerprint(m.id.cert.Leaf)
	m.id.linePublic, err = m.id.line.PublicKey()
	return err
}

func (m *Machine) openStores(ctx context.Context, set Settings) error {
	var err error
	if m.DB, err = openHubLog(ctx, m.dir, m.id, set); err != nil {
		return err
	}
	if m.Photos, err = photodir.Open(filepath.Join(m.dir, "photos")); err != nil {
		return err
	}
	m.codec, err = segment.NewCodec()
	return err
}

func (m *Machine) openBroker(ctx context.Context, set Settings) error {
	// Whom the last register named, until the hub has read its own.
	var list []hub.Client
	if err := readJSON(filepath.Join(m.dir, "admitted.json"), &list); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	var err error
	if m.admitted, err = hub.Kept(ctx, journal.Authority{Shop: m.id.Shop, Hub: m.id.Device}, m.DB, m.DB, list, wall(set.Now)()); err != nil {
		return err
	}
	m.Broker, err = broker.Start(ctx, broker.Config{ServerName: "hub", StoreDir: filepath.Join(m.dir, "broker"),
		Host: "127.0.0.1", Port: m.id.BrokerPort, Cert: m.id.cert, Logger: set.Logger}, m.register(m.admitted))
	if err != nil {
		return err
	}
	m.conn, err = nats.Connect("", nats.InProcessServer(m.Broker.InProcess()), nats.Nkey(m.id.linePublic, m.id.line.Sign),
		nats.Name("hub"), nats.MaxReconnects(-1),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { set.Logger.Debug("message server", "error", err) }))
	return err
}

func (m *Machine) openHub(ctx context.Context, set Settings) error {
	js, err := jetstream.New(m.conn)
	if err != nil {
		return err
	}
	stream, err := broker.EnsureStream(ctx, js, broker.StreamConfig(segment.Stream(m.id.Shop), []string{segment.LogSubjects(m.id.Shop)}, 1))
	if err != nil {
		return err
	}
	m.Hub = hub.New(hub.Config{
		Shop: m.id.Shop, ShopName: shopName, Device: m.id.Device, By: hubBy, Key: m.id.logKey, Cosigner: m.id.cosigner, HubKey: m.id.HubKey, CosignKey: m.id.CosignKey, Agreed: m.id.Agreed,
		Log: m.DB, History: m.DB, Receipts: m.DB, Cards: m.DB, Notes: m.DB, Room: m.DB, Named: m.DB, Arrivals: m.Photos, Pieces: m.Photos, Door: admitter{m},
		Conn: m.conn, JS: js, Stream: stream, Port: m.id.BrokerPort, Admitted: m.admitted,
		Codec: m.codec, Now: wall(set.Now), Logger: set.Logger, Patience: set.Patience,
	})
	m.Address = net.JoinHostPort("127.0.0.1", fmt.Sprint(m.id.DeskPort))
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", m.Address)
	if err != nil {
		return err
	}
	m.desk = &http.Server{Handler: m.Hub.Desk(), TLSConfig: &tls.Config{Certificates: []tls.Certificate{m.id.cert}, MinVersion: tls.VersionTLS13},
		ErrorLog: slog.NewLogLogger(set.Logger.Handler(), slog.LevelDebug)}
	m.work.Go(func() { m.desk.ServeTLS(listener, "", "") })
	ctx, m.cancel = context.WithCancel(context.WithoutCancel(ctx))
	m.work.Go(func() { m.failed = m.Hub.Run(ctx) })
	return nil
}

// Close stops the hub in the reverse order of its start.
func (m *Machine) Close() error {
	var errs []error
	if m.cancel != nil {
		m.cancel()
	}
	if m.desk != nil {
		errs = append(errs, m.desk.Close())
	}
	m.work.Wait()
	if m.failed != nil && !errors.Is(m.failed, context.Canceled) {
		errs = append(errs, m.failed)
	}
	if m.conn != nil {
		m.conn.Close()
	}
	if m.Broker != nil {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		errs = append(errs, m.Broker.Close(ctx))
	}
	if m.codec != nil {
		m.codec.Close()
	}
	if m.DB != nil {
		errs = append(errs, m.DB.Close())
	}
	return errors.Join(errs...)
}

// Invite writes an invitation into the hub's log.
func (m *Machine) Invite(ctx context.Context, name string, expires time.Time) (segment.Invitation, error) {
	token, draft, err := hub.NewInvitation(m.id.Shop, hubBy, name, expires, rand.Reader)
	if err != nil {
		return segment.Invitation{}, err
	}
	if _, err := m.Hub.Append(ctx, draft); err != nil {
		return segment.Invitation{}, err
	}
	return segment.Invitation{Shop: string(m.id.Shop), Addresses: []string{m.Address}, Fingerprint: m.id.pinnedCert,
		Token: token, Expires: expires.Unix(), Name: name, ShopName: shopName}, nil
}

// Overhear hears what passes at the broker on some subjects, as the hub might.
func (m *Machine) Overhear(subjects string) (*nats.Subscription, error) {
	return m.conn.SubscribeSync(subjects)
}

// register joins the hub's list to the broker's.
func (m *Machine) register(clients []hub.Client) broker.Register {
	r := broker.Register{Hub: m.id.linePublic}
	for _, c := range clients {
		publish, subscribe := segment.Permissions(m.id.Shop, c.Device)
		r.Devices = append(r.Devices, broker.Device{NKey: c.Key, Publish: publish, Subscribe: subscribe})
	}
	return r
}

// admitter lets devices in, and keeps the list for a start without a database.
type admitter struct{ m *Machine }

var _ hub.Door = admitter{}

func (a admitter) Admit(_ context.Context, clients []hub.Client) error {
	if err := writeJSON(filepath.Join(a.m.dir, "admitted.json"), clients); err != nil {
		return err
	}
	return a.m.Broker.Reload(a.m.register(clients))
}

func newLineSeed() (string, error) {
	key, err := nkeys.CreateUser()
	if err != nil {
		return "", err
	}
	seed, err := key.Seed()
	return string(seed), err
}

// freePort finds a port that nobody has, below those that systems give to
// outgoing connections, so that it is still free after a restart.
func freePort() (int, error) {
	for try := 0; ; try++ {
		port := 12000 + mathrand.IntN(20000)
		l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", fmt.Sprint(port)))
		if err == nil {
			return port, l.Close()
		}
		if try == 100 {
			return 0, err
		}
	}
}

func writeJSON(path string, v any) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return os.WriteFile(path, raw, 0o600)
}

func readJSON(path string, v any) error {
	raw, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return json.Unmarshal(raw, v)
}
