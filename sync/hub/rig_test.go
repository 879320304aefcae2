package hub_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/photodir"
	"fettlebook/sync/broker"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/nats-io/nkeys"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// patience bounds every wait. Nothing takes that long unless it is broken.
const patience = 20 * time.Second

const by = journal.PersonID("hub")

// rig is a hub on a folder of its own, with a broker in this process that
// devices reach in the hub's name: what the broker would not let through is
// here for the hub to judge.
type rig struct {
	t        *testing.T
	dir      string
	shop     journal.ShopID
	device   journal.DeviceID
	key      proof.Key
	cosigner proof.Key
	line     nkeys.KeyPair
	cert     tls.Certificate
	codec    *segment.Codec
	with     func(*hub.Config)
	ahead    atomic.Int64 // how far the hub's clock was put forward

	db     *sqlitelog.DB
	photos *photodir.Dir
	broker *broker.Broker
	conn   *nats.Conn
	js     jetstream.JetStream
	hub    *hub.Hub
	cancel context.CancelFunc
	work   sync.WaitGroup
	failed error

	// publishing stands between hub and stream; nil where nothing does.
	publishing atomic.Pointer[func(publish func() error) error]
	repeat     atomic.Bool // the stream takes what is published for the repeat of something else

	mu      sync.Mutex
	letIn   []hub.Client // guarded by mu
	changes int          // how often the door's list changed; guarded by mu
}

// now is the hub's clock.
func (r *rig) now() time.Time { return time.Now().Add(time.Duration(r.ahead.Load())) }

// Admit implements [hub.Door].
func (r *rig) Admit(_ context.Context, clients []hub.Client) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.letIn, r.changes = slices.Clone(clients), r.changes+1
	return nil
}

func (r *rig) admitted() []hub.Client {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.letIn
}

// open founds a shop and runs its hub.
func open(t *testing.T) *rig {
	t.Helper()
	t.Parallel()
	return openShop(t, "k7m2q4xw")
}

func openShop(t *testing.T, shop journal.ShopID) *rig {
	t.Helper()
	return found(t, &rig{t: t, dir: t.TempDir(), shop: shop, device: "h3fz8c1n"})
}

// openWith is open for a hub that is to work with something else.
func openWith(t *testing.T, with func(*hub.Config)) *rig {
	t.Helper()
	t.Parallel()
	return found(t, &rig{t: t, dir: t.TempDir(), shop: "k7m2q4xw", device: "h3fz8c1n", with: with})
}

func found(t *testing.T, r *rig) *rig {
	t.Helper()
	r.key, r.cosigner = newKey(t, proof.Origin(r.shop, r.device)), newKey(t, proof.CosignerName(r.shop))
	certPEM, keyPEM, err := broker.NewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"})
	must(t, err)
	r.cert, err = tls.X509KeyPair(certPEM, keyPEM)
	must(t, err)
	r.line, err = nkeys.CreateUser()
	must(t, err)
	r.codec, err = segment.NewCodec()
	must(t, err)
	t.Cleanup(r.codec.Close)
	r.openLog()
	_, err = r.db.Append(t.Context(), journal.Draft{Subject: journal.Of("shop", string(r.shop)), By: by,
		Data: &journal.Shop{Shop: r.shop, Name: "Backyard Brakes", LogKey: r.key.Verifier(), CosignKey: r.cosigner.Verifier()}})
	must(t, err)
	r.run()
	t.Cleanup(r.stop)
	r.ready()
	return r
}

func (r *rig) openLog() {
	r.t.Helper()
	var err error
	r.db, err = sqlitelog.Open(r.t.Context(), filepath.Join(r.dir, "log.db"), sqlitelog.Options{Shop: r.shop, Own: r.device, Key: r.key,
		Hub: r.device, HubKey: r.key.Verifier(), CosignKey: r.cosigner.Verifier(), Boot: "b0", Clock: journal.NewClock(time.Now, rand.Reader), Now: time.Now, Started: time.Now()})
	must(r.t, err)
}

// run starts broker and hub on the folder, whatever is left of it.
func (r *rig) run() {
	r.t.Helper()
	if r.db == nil {
		r.openLog()
	}
	ctx := context.WithoutCancel(r.t.Context())
	public, err := r.line.PublicKey()
	must(r.t, err)
	r.photos, err = photodir.Open(filepath.Join(r.dir, "photos"))
	must(r.t, err)
	r.broker, err = broker.Start(ctx, broker.Config{ServerName: "hub", StoreDir: filepath.Join(r.dir, "broker"), Host: "127.0.0.1", Port: -1, Cert: r.cert},
		broker.Register{Hub: public})
	must(r.t, err)
	r.conn, err = nats.Connect("", nats.InProcessServer(r.broker.InProcess()), nats.Nkey(public, r.line.Sign))
	must(r.t, err)
	r.js, err = jetstream.New(r.conn)
	must(r.t, err)
	stream, err := broker.EnsureStream(ctx, r.js, broker.StreamConfig(segment.Stream(r.shop), []string{segment.LogSubjects(r.shop)}, 1))
	must(r.t, err)
	cfg := hub.Config{Shop: r.shop, ShopName: "Backyard Brakes", Device: r.device, By: by, Key: r.key, Cosigner: r.cosigner,
		Log: r.db, History: r.db, Receipts: r.db, Cards: r.db, Notes: r.db, Room: r.db, Named: r.db, Arrivals: r.photos, Pieces: r.photos, Door: r,
		Conn: r.conn, JS: faultyStream{r.js, &r.publishing, &r.repeat}, Stream: stream, Port: 7461, Admitted: r.admitted(), Codec: r.codec, Now: r.now,
		Logger: slog.New(slog.DiscardHandler)}
	if r.with != nil {
		r.with(&cfg)
	}
	r.hub = hub.New(cfg)
	ctx, r.cancel = context.WithCancel(ctx)
	r.work.Go(func() { r.failed = r.hub.Run(ctx) })
}

// faultyStream is a stream whose publishing a test stands in the way of.
type faultyStream struct {
	jetstream.JetStream
	way    *atomic.Pointer[func(publish func() error) error]
	repeat *atomic.Bool
}

// PublishMsgAsync implements [jetstream.JetStream].
func (f faultyStream) PublishMsgAsync(m *nats.Msg, opts ...jetstream.PublishOpt) (jetstream.PubAckFuture, error) {
	if f.repeat.Load() {
		return acked(&jetstream.PubAck{Sequence: 1, Duplicate: true}, nil), nil
	}
	way := f.way.Load()
	if way == nil {
		return f.JetStream.PublishMsgAsync(m, opts...)
	}
	var ack *jetstream.PubAck
	err := (*way)(func() (err error) {
		ack, err = f.JetStream.PublishMsg(context.Background(), m)
		return err
	})
	return acked(ack, err), nil
}

// told is what the stream said of a message.
type told struct {
	jetstream.PubAckFuture
	ok  chan *jetstream.PubAck
	err chan error
}

func acked(ack *jetstream.PubAck, err error) told {
	t := told{ok: make(chan *jetstream.PubAck, 1), err: make(chan error, 1)}
	if err != nil {
		t.err <- err
	} else {
		t.ok <- ack
	}
	return t
}

// Ok and Err implement [jetstream.PubAckFuture].
func (t told) Ok() <-chan *jetstream.PubAck { return t.ok }
func (t told) Err() <-chan error            { return t.err }

func (r *rig) ready() {
	r.t.Helper()
	select {
	case <-r.hub.Ready():
	case <-time.After(patience):
		r.t.Fatal("the hub is not ready")
	}
}

// stop ends hub and broker and closes the log.
func (r *rig) stop() {
	r.t.Helper()
	r.cancel()
	r.work.Wait()
	r.conn.Close()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := errors.Join(r.failed, r.broker.Close(ctx), r.db.Close()); err != nil && !errors.Is(err, context.Canceled) {
		r.t.Error(err)
	}
	r.db = nil
}

// restart runs the hub anew without some of its files.
func (r *rig) restart(lost ...string) {
	r.t.Helper()
	r.stop()
	for _, name := range lost {
		must(r.t, os.RemoveAll(filepath.Join(r.dir, name)))
	}
	r.run()
}

var database = []string{"log.db", "log.db-wal", "log.db-shm"}

// invite writes an invitation and returns its token.
func (r *rig) invite(name string, life time.Duration) []byte {
	r.t.Helper()
	token, draft, err := hub.NewInvitation(r.shop, by, name, time.Now().Add(life), rand.Reader)
	must(r.t, err)
	_, err = r.hub.Append(r.t.Context(), draft)
	must(r.t, err)
	return token
}

// knock posts a request to the joining desk.
func (r *rig) knock(body []byte) (int, segment.JoinReply) {
	r.t.Helper()
	answer := httptest.NewRecorder()
	r.hub.Desk().ServeHTTP(answer, httptest.NewRequestWithContext(r.t.Context(), http.MethodPost, segment.JoinPath, bytes.NewReader(body)))
	var reply segment.JoinReply
	must(r.t, json.Unmarshal(answer.Body.Bytes(), &reply))
	return answer.Code, reply
}

// tablet is a device that signs what it is told to.
type tablet struct {
	r      *rig
	device journal.DeviceID
	key    proof.Key
	line   nkeys.KeyPair
	clock  *journal.Clock
	log    [][]byte
}

func (r *rig) newTablet(device journal.DeviceID) *tablet {
	r.t.Helper()
	line, err := nkeys.CreateUser()
	must(r.t, err)
	return &tablet{r: r, device: device, key: newKey(r.t, proof.Origin(r.shop, device)), line: line, clock: journal.NewClock(time.Now, rand.Reader)}
}

// joined lets a tablet in.
func (r *rig) joined(device journal.DeviceID) *tablet {
	r.t.Helper()
	tab := r.newTablet(device)
	code, reply := r.knock(tab.request(r.invite("bench", time.Hour), nil))
	if code != http.StatusOK {
		r.t.Fatalf("join: %d %s", code, reply.Refused)
	}
	return tab
}

// request signs a request to join; spoil changes it before it is signed.
func (tab *tablet) request(token []byte, spoil func(*segment.JoinRequest)) []byte {
	tab.r.t.Helper()
	connect, err := tab.line.PublicKey()
	must(tab.r.t, err)
	q := segment.JoinRequest{Token: token, Device: tab.device, Name: "bench", LogKey: tab.key.Verifier(), ConnectKey: connect}
	if spoil != nil {
		spoil(&q)
	}
	q.LogProof = tab.key.Sign(segment.JoinPurpose, q.Statement())
	q.LineProof, err = tab.line.Sign(q.Statement())
	must(tab.r.t, err)
	body, err := json.Marshal(q)
	must(tab.r.t, err)
	return body
}

// entry is an entry as the tablet writes it.
func (tab *tablet) entry(data journal.Payload, photos ...journal.Photo) *journal.Entry {
	tab.r.t.Helper()
	id, err := tab.clock.Next()
	must(tab.r.t, err)
	for _, p := range photos {
		journal.Attach(data, p)
	}
	raw, err := journal.MarshalPayload(data)
	must(tab.r.t, err)
	return &journal.Entry{SpecVersion: "1.0", ID: id, Source: journal.Source{Shop: tab.r.shop, Device: tab.device},
		Type: journal.Type{Kind: data.Kind(), Version: data.Kind().Version()}, Subject: "job/4f7kk2m9", Time: journal.Stamp(time.Now()),
		DataContentType: "application/json", By: "io", Boot: "b1", Data: raw}
}

// write adds n entries to the tablet's log and signs those from first on.
func (tab *tablet) write(n int) journal.Segment {
	tab.r.t.Helper()
	first := len(tab.log)
	for range n {
		tab.add(tab.entry(&journal.Arrival{Agreed: true}))
	}
	return tab.segment(first, len(tab.log))
}

func (tab *tablet) add(e *journal.Entry) {
	tab.r.t.Helper()
	raw, err := e.Encode()
	must(tab.r.t, err)
	tab.log = append(tab.log, raw)
}

// segment signs the entries from first to end of what the tablet wrote.
func (tab *tablet) segment(first, end int) journal.Segment {
	tab.r.t.Helper()
	tree := new(proof.Tree)
	for _, raw := range tab.log[:end] {
		tree.Append(raw)
	}
	checkpoint, err := proof.Sign(tab.key.Signer(), tree.Size(), tree.Root())
	must(tab.r.t, err)
	return journal.Segment{Device: tab.device, First: int64(first), Entries: slices.Clone(tab.log[first:end]), Checkpoint: checkpoint, Thumbs: map[media.Ref][]byte{}}
}

func (r *rig) encode(s journal.Segment) []byte {
	r.t.Helper()
	raw, err := r.codec.Encode(s)
	must(r.t, err)
	return raw
}

// send has a device send a segment of its log, whatever the hub says to it.
func (r *rig) send(device journal.DeviceID, raw []byte) {
	r.t.Helper()
	no := refusal("")
	if err := r.ask(device, segment.Send, segment.GiveAsk{Segment: raw}, nil); err != nil && !errors.As(err, &no) {
		r.t.Fatal(err)
	}
}

// size is how many entries of a log the hub has countersigned, checked
// against both keys.
func (r *rig) size(tab *tablet) int64 {
	r.t.Helper()
	c, err := r.db.LastCountersigned(r.t.Context(), tab.device)
	must(r.t, err)
	if c.Size == 0 {
		return 0
	}
	device, err := proof.Verifier(tab.key.Verifier())
	must(r.t, err)
	cosigner, err := proof.CosignVerifier(r.cosigner.Verifier())
	must(r.t, err)
	signed, at, err := proof.OpenCountersigned(c.Note, device, cosigner)
	must(r.t, err)
	if signed.Size != c.Size || !at.Equal(c.At) {
		r.t.Errorf("kept as size %d at %v, signed %d at %v", c.Size, c.At, signed.Size, at)
	}
	return c.Size
}

func (r *rig) countersigned(tab *tablet, n int) {
	r.t.Helper()
	r.until(fmt.Sprintf("the countersignature over %d entries of %s", n, tab.device), func() bool { return r.size(tab) == int64(n) })
}

func (r *rig) quarantined(device journal.DeviceID) (reasons []string) {
	r.t.Helper()
	list, err := r.db.Quarantines(r.t.Context())
	must(r.t, err)
	for _, q := range list {
		if q.Device == device {
			reasons = append(reasons, q.Reason)
		}
	}
	return reasons
}

// refusal is the hub's no.
type refusal string

func (e refusal) Error() string { return string(e) }

// ask asks as a device and reads the reply.
func (r *rig) ask(device journal.DeviceID, what segment.What, question, reply any) error {
	r.t.Helper()
	raw, err := r.codec.Marshal(question)
	must(r.t, err)
	return r.askRaw(device, what, raw, reply)
}

func (r *rig) askRaw(device journal.DeviceID, what segment.What, raw []byte, reply any) error {
	r.t.Helper()
	inbox := segment.Inbox(device) + "." + nats.NewInbox()[len("_INBOX."):]
	answers, err := r.conn.SubscribeSync(inbox)
	must(r.t, err)
	defer answers.Unsubscribe()
	var m *nats.Msg
	r.until("the hub to listen", func() bool {
		must(r.t, r.conn.PublishRequest(segment.AskSubject(r.shop, device, what), inbox, raw))
		if m, err = answers.NextMsg(patience); errors.Is(err, nats.ErrNoResponders) {
			return false // it is just starting
		}
		must(r.t, err)
		return true
	})
	var a segment.Answer
	must(r.t, r.codec.Unmarshal(m.Data, &a))
	if a.Refused != "" {
		return refusal(a.Refused)
	}
	if reply == nil && len(a.Body) > 0 {
		r.t.Errorf("%s: an answer of %d bytes where none is due", what, len(a.Body))
	}
	return r.codec.UnmarshalBody(a.Body, reply)
}

// answered reports whether the hub answers a greeting of a device before one that another
// device asks after it, more often than questions are under way.
func (r *rig) answered(device journal.DeviceID) bool {
	r.t.Helper()
	inbox := segment.Inbox(device) + ".x"
	answers, err := r.conn.SubscribeSync(inbox)
	must(r.t, err)
	defer answers.Unsubscribe()
	raw, err := r.codec.Marshal(segment.Greeting{})
	must(r.t, err)
	must(r.t, r.conn.PublishRequest(segment.AskSubject(r.shop, device, segment.Greet), inbox, raw))
	proper := r.joined(journal.DeviceID("p" + device[1:]))
	for range 20 {
		must(r.t, r.ask(proper.device, segment.Greet, segment.Greeting{}, new(segment.Welcome)))
	}
	for {
		n, _, err := answers.Pending()
		must(r.t, err)
		if n == 0 {
			return false
		}
		m, err := answers.NextMsg(patience)
		if errors.Is(err, nats.ErrNoResponders) {
			continue // the broker found nobody who hears it
		}
		must(r.t, err)
		if m.Header.Get("Status") == "" {
			return true
		}
	}
}

// register decodes the hub's own log.
func (r *rig) register() (list []journal.Payload) {
	r.t.Helper()
	for l, err := range r.db.Entries(r.t.Context(), r.device, 0) {
		must(r.t, err)
		e, err := journal.Decode(l.Bytes)
		must(r.t, err)
		p, err := e.Payload()
		must(r.t, err)
		list = append(list, p)
	}
	return list
}

func count[P journal.Payload](list []journal.Payload) (n int) {
	for _, p := range list {
		if _, ok := p.(P); ok {
			n++
		}
	}
	return n
}

func (r *rig) until(what string, holds func() bool) {
	r.t.Helper()
	limit, look := time.After(patience), time.NewTicker(2*time.Millisecond)
	defer look.Stop()
	for !holds() {
		select {
		case <-look.C:
		case <-limit:
			r.t.Fatalf("waited %v for %s", patience, what)
		}
	}
}

func newKey(t *testing.T, name string) proof.Key {
	t.Helper()
	key, err := proof.NewKey(rand.Reader, name)
	must(t, err)
	return key
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
