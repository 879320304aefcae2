package uplink_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const (
	shop   = journal.ShopID("k7m2q4xw")
	hubLog = journal.DeviceID("h3fz8c1n")
	mine   = journal.DeviceID("t1aaaaaa")
	other  = journal.DeviceID("t2bbbbbb")
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// rig is a tablet with a log of its own, and a hub that does what the script
// says: by itself it is honest, and holds what it was given in a log too.
// A test runs it under testing/synctest.
type rig struct {
	t        *testing.T
	keys     map[journal.DeviceID]proof.Key
	cosigner proof.Key
	codec    *segment.Codec
	hub      *sqlitelog.DB // the hub's
	db       *sqlitelog.DB // the tablet's
	path     string
	news     chan struct{}
	began    int64
	line     uplink.Line // nil: the rig itself
	with     func(*uplink.Config)

	up     *uplink.Uplink
	cancel context.CancelFunc
	work   sync.WaitGroup

	mu        sync.Mutex
	sent      []journal.Segment                           // of the tablet's own log, in order
	asked     map[segment.What]int                        // questions that arrived
	pieces    map[int][]byte                              // of the one original
	cards     []journal.CardState                         // that came up, in order
	alive     func(context.Context) error                 // nil: nobody asks
	saving    func()                                      // hears that a receipt is about to be kept
	given     []journal.Segment                           // that the hub lost or never saw
	wants     segment.WantedReply                         // what else the hub lost
	receipts  [][]byte                                    // that it was given back
	cut       func(what segment.What) error               // nil: the line holds
	deaf      func(n int) bool                            // the hub answers the nth of them and loses it
	twist     map[segment.What]func(reply any) any        // what the hub says instead
	offered   map[segment.What]func(segment.PhotoAsk) any // and of originals
	originals map[media.Ref][]byte                        // the tablet's
	brokers   []string                                    // where it last heard that the hub is
}

func open(t *testing.T) *rig {
	t.Helper()
	r := &rig{t: t, keys: map[journal.DeviceID]proof.Key{}, news: make(chan struct{}, 1), began: 1, asked: map[segment.What]int{},
		pieces: map[int][]byte{}, twist: map[segment.What]func(any) any{}, originals: map[media.Ref][]byte{},
		offered: map[segment.What]func(segment.PhotoAsk) any{}}
	var err error
	for _, d := range []journal.DeviceID{hubLog, mine, other} {
		r.keys[d], err = proof.NewKey(rand.Reader, proof.Origin(shop, d))
		must(t, err)
	}
	r.cosigner, err = proof.NewKey(rand.Reader, proof.CosignerName(shop))
	must(t, err)
	r.codec, err = segment.NewCodec()
	must(t, err)
	t.Cleanup(r.codec.Close)
	r.hub = r.openLog(hubLog, filepath.Join(t.TempDir(), "hub.db"))
	t.Cleanup(func() { must(t, r.hub.Close()) })
	r.register(&journal.Shop{Shop: shop, Name: "Backyard Brakes", LogKey: r.keys[hubLog].Verifier(), CosignKey: r.cosigner.Verifier()})
	for _, d := range []journal.DeviceID{mine, other} {
		id, err := journal.NewClock(time.Now, rand.Reader).Next()
		must(t, err)
		r.register(&journal.Device{Device: d, Name: string(d), LogKey: r.keys[d].Verifier(), ConnectKey: "U", Invitation: id})
	}
	r.path = filepath.Join(t.TempDir(), "log.db")
	r.db = r.openLog(mine, r.path)
	t.Cleanup(func() { r.stop(); must(t, r.db.Close()) })
	return r
}

func (r *rig) openLog(own journal.DeviceID, path string) *sqlitelog.DB {
	r.t.Helper()
	db, err := sqlitelog.Open(r.t.Context(), path, sqlitelog.Options{Shop: shop, Own: own, Key: r.keys[own], Hub: hubLog,
		HubKey: r.keys[hubLog].Verifier(), CosignKey: r.cosigner.Verifier(), Boot: "b0", Clock: journal.NewClock(time.Now, rand.Reader), Now: time.Now, Started: time.Now()})
	must(r.t, err)
	return db
}

// register writes into the hub's own log and countersigns it.
func (r *rig) register(p journal.Payload) {
	r.t.Helper()
	_, err := r.hub.Append(r.t.Context(), journal.Draft{Subject: journal.Of("shop", string(shop)), By: "hub", Data: p})
	if err != nil { // of a device
		_, err = r.hub.Append(r.t.Context(), journal.Draft{Subject: journal.Of("device", string(p.(*journal.Device).Device)), By: "hub", Data: p})
	}
	must(r.t, err)
	must(r.t, r.countersign(hubLog))
}

// write appends n entries to a log.
func (r *rig) write(db *sqlitelog.DB, n int) {
	r.t.Helper()
	for range n {
		_, err := db.Append(r.t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Arrival{Agreed: true}})
		must(r.t, err)
	}
}

// elsewhere has another tablet write n entries, which the hub holds.
func (r *rig) elsewhere(n int) {
	r.t.Helper()
	db := r.openLog(other, filepath.Join(r.t.TempDir(), "other.db"))
	r.write(db, n)
	s, err := db.Segment(r.t.Context(), other, 0, journal.MaxSegmentBytes)
	must(r.t, err)
	must(r.t, db.Close())
	_, err = r.hub.Receive(r.t.Context(), s)
	must(r.t, err)
	must(r.t, r.countersign(other))
}

func (r *rig) countersign(device journal.DeviceID) error {
	head, err := r.hub.Head(r.t.Context(), device)
	if err != nil || head.Size == 0 {
		return err
	}
	key, err := proof.Verifier(r.keys[device].Verifier())
	if err != nil {
		return err
	}
	c, err := proof.Open(head.Checkpoint, key)
	if err != nil {
		return err
	}
	at := time.Now().Truncate(time.Second)
	signed, err := proof.Countersign(c, key, r.cosigner.Cosigner(func() time.Time { return at }))
	if err != nil {
		return err
	}
	return r.hub.SaveCountersigned(r.t.Context(), journal.Countersigned{Device: device, Size: c.Size, At: at, Note: signed})
}

// run starts the tablet's sync.
func (r *rig) run() {
	r.t.Helper()
	var line uplink.Line = r
	if r.line != nil {
		line = r.line
	}
	cfg := uplink.Config{Shop: shop, Device: mine, Line: line, Log: r.db, History: r.db, Receipts: receipts{r}, Cards: r.db,
		Photos: r.db, Originals: r, Codec: r.codec, Now: time.Now, Compared: r.db.Compared, Alive: r.alive, Logger: slog.New(slog.DiscardHandler),
		Found: func(_ context.Context, brokers []string) { r.mu.Lock(); r.brokers = brokers; r.mu.Unlock() }}
	if r.with != nil {
		r.with(&cfg)
	}
	r.up = uplink.New(cfg)
	ctx, cancel := context.WithCancel(context.WithoutCancel(r.t.Context()))
	r.cancel = cancel
	r.work.Go(func() {
		if err := r.up.Run(ctx); err != nil {
			r.t.Error(err)
		}
	})
}

// receipts tells of each that is kept.
type receipts struct{ r *rig }

func (k receipts) SaveCountersigned(ctx context.Context, c journal.Countersigned) error {
	if k.r.saving != nil {
		k.r.saving()
	}
	return k.r.db.SaveCountersigned(ctx, c)
}

func (k receipts) CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error) {
	return k.r.db.CountersignedSince(ctx, device, size, most)
}

func (k receipts) LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error) {
	return k.r.db.LastCountersigned(ctx, device)
}

func (r *rig) stop() {
	if r.cancel != nil {
		r.cancel()
		r.work.Wait()
	}
}

// rounds lets the tablet's loop come round by its own timers, on the clock of
// testing/synctest.
func (r *rig) rounds() {
	<-time.After(2 * uplink.DefaultEvery)
	synctest.Wait()
}

// heard is where the tablet last heard that the hub is.
func (r *rig) heard() []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.brokers
}

// look has the tablet look at once.
func (r *rig) look() { r.news <- struct{}{} }

// News implements [uplink.Line].
func (r *rig) News() <-chan struct{} { return r.news }

// take takes in what the tablet sends of its own log.
func (r *rig) take(ctx context.Context, raw []byte) error {
	s, err := r.codec.Decode(raw)
	if err != nil {
		return err
	}
	r.sent = append(r.sent, s)
	if r.deaf != nil && r.deaf(len(r.sent)) {
		return nil
	}
	_, err = r.hub.Receive(ctx, s)
	if fork := (*journal.Fork)(nil); errors.As(err, &fork) {
		return errors.Join(err, r.hub.CloseLog(ctx, s.Device, "forked"))
	}
	if err != nil {
		r.t.Errorf("the hub cannot take what was sent: %v", err)
		return err
	}
	return r.countersign(mine)
}

// Ask implements [uplink.Line].
func (r *rig) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.cut != nil {
		if err := r.cut(what); err != nil {
			return nil, err
		}
	}
	r.asked[what]++
	reply, err := r.answer(ctx, what, data)
	if twist := r.twist[what]; twist != nil && err == nil {
		reply = twist(reply)
	}
	a, isAnswer := reply.(segment.Answer)
	if err != nil {
		a = segment.Answer{Refused: err.Error()}
	} else if !isAnswer {
		if a.Body, err = r.codec.MarshalBody(reply); err != nil {
			return nil, err
		}
	}
	if raw, ok := reply.([]byte); ok {
		return raw, nil // not even an answer
	}
	return r.codec.Marshal(a)
}

func (r *rig) answer(ctx context.Context, what segment.What, data []byte) (any, error) {
	read := func(q any) {
		if err := r.codec.Unmarshal(data, q); err != nil {
			r.t.Errorf("%s: the tablet's question: %v", what, err)
		}
	}
	switch what {
	case segment.Greet:
		var g segment.Greeting
		read(&g)
		return r.welcome(ctx, g)
	case segment.Where:
		read(new(segment.WhereAsk))
		return segment.WhereReply{}, nil
	case segment.Wanted:
		var q segment.WantedAsk
		read(&q)
		return r.wants, nil
	case segment.Receipts:
		var q segment.ReceiptsAsk
		read(&q)
		r.receipts = append(r.receipts, q.Countersigned...)
		return nil, nil
	case segment.Range:
		var q segment.RangeAsk
		read(&q)
		return r.give(ctx, q)
	case segment.Send:
		var q segment.GiveAsk
		read(&q)
		return nil, r.take(ctx, q.Segment)
	case segment.Give:
		var q segment.GiveAsk
		read(&q)
		s, err := r.codec.Decode(q.Segment)
		if err == nil {
			r.given = append(r.given, s)
			_, err = r.hub.Receive(ctx, s)
		}
		if fork := (*journal.Fork)(nil); errors.As(err, &fork) {
			err = nil // it keeps what it was given, and says so in the register
		}
		return nil, err
	case segment.Compare:
		var q segment.CompareAsk
		read(&q)
		return r.compare(ctx, q)
	case segment.Cards:
		var q segment.CardsAsk
		read(&q)
		for _, c := range q.Cards {
			state, err := c.State()
			if err != nil {
				return nil, err
			}
			r.cards = append(r.cards, state)
		}
		changed, err := r.hub.CardsSince(ctx, q.Since)
		reply := segment.CardsReply{More: len(changed) > 0}
		reply.Cards, reply.Rev = segment.WireCards(changed, q.Since)
		return reply, err
	}
	var q segment.PhotoAsk
	read(&q)
	if say := r.offered[what]; say != nil {
		return say(q), nil
	}
	return r.original(what, q)
}

func (r *rig) welcome(ctx context.Context, g segment.Greeting) (any, error) {
	w := segment.Welcome{Hub: hubLog, Began: r.began, Received: time.Now().UnixNano()}
	heads, err := r.hub.Heads(ctx)
	if err != nil {
		return nil, err
	}
	have := map[journal.DeviceID]int64{}
	for _, h := range heads {
		c, err := r.hub.LastCountersigned(ctx, h.Device)
		if err != nil {
			return nil, err
		}
		have[h.Device] = h.Size
		w.Holds = append(w.Holds, segment.Reach{Device: h.Device, Size: h.Size, Countersigned: c.Size})
		if h.Device == mine && h.Size > 0 {
			if w.Root, err = r.hub.RootAt(ctx, mine, h.Size); err != nil {
				return nil, err
			}
		}
	}
	for _, h := range g.Holds {
		if h.Device != mine && h.Size > have[h.Device] {
			w.Wants = append(w.Wants, segment.Reach{Device: h.Device, Size: have[h.Device]})
		}
	}
	if w.Closed, err = r.hub.Closed(ctx, mine); errors.Is(err, journal.ErrNoLog) {
		err = nil
	}
	w.Answered = time.Now().UnixNano()
	return w, err
}

func (r *rig) compare(ctx context.Context, q segment.CompareAsk) (any, error) {
	var reply segment.CompareReply
	for _, l := range q.Logs {
		root, err := r.hub.RootAt(ctx, l.Device, l.Size)
		if err != nil {
			return nil, err
		}
		if root != l.Root {
			reply.Apart = append(reply.Apart, l.Device)
		}
	}
	return reply, nil
}

func (r *rig) give(ctx context.Context, q segment.RangeAsk) (any, error) {
	var reply segment.RangeReply
	s, err := r.hub.Segment(ctx, q.Device, q.From, journal.MaxSegmentBytes)
	if err != nil {
		return nil, err
	}
	if len(s.Entries) > 0 {
		if reply.Segment, err = r.codec.Encode(s); err != nil {
			return nil, err
		}
	}
	list, err := r.hub.CountersignedSince(ctx, q.Device, q.Countersigned, segment.ReceiptsPerReply)
	for _, c := range list {
		reply.Countersigned = append(reply.Countersigned, c.Note)
	}
	return reply, err
}

// original takes the pieces of one original.
func (r *rig) original(what segment.What, q segment.PhotoAsk) (any, error) {
	var missing []int
	for i := range media.Chunks(q.Size) {
		if r.pieces[i] == nil {
			missing = append(missing, i)
		}
	}
	switch what {
	case segment.Chunk:
		r.pieces[q.Index] = q.Data
		return nil, nil
	case segment.Confirm:
		var whole []byte
		for i := range media.Chunks(q.Size) {
			whole = append(whole, r.pieces[i]...)
		}
		if media.RefOf(whole) != media.Ref(q.Ref) {
			return nil, errors.New("these are other bytes")
		}
		return segment.PhotoReply{Here: true}, nil
	default:
		return segment.PhotoReply{Here: q.Size > 0 && len(missing) == 0, Missing: missing}, nil
	}
}

// Open implements [uplink.Originals].
func (r *rig) Open(_ context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	b, ok := r.originals[ref]
	if !ok {
		return nil, 0, fmt.Errorf("original %s: %w", ref, os.ErrNotExist)
	}
	return closer{bytes.NewReader(b)}, int64(len(b)), nil
}

type closer struct{ *bytes.Reader }

func (closer) Close() error { return nil }

// log reads a log as it lies in a database.
func log(t *testing.T, db *sqlitelog.DB, device journal.DeviceID) (list [][]byte) {
	t.Helper()
	for l, err := range db.Entries(t.Context(), device, 0) {
		if errors.Is(err, journal.ErrNoLog) {
			return nil
		}
		must(t, err)
		list = append(list, l.Bytes)
	}
	return list
}
