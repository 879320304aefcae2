package hub

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"log/slog"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Log is what the hub needs of its database of logs.
type Log interface {
	journal.Appender
	AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error)
	journal.Receiver
	// ReceiveAll takes in segments of one log that follow each other, all or none.
	ReceiveAll(ctx context.Context, list []journal.Segment) (journal.Head, error)
	journal.Reader
	Segment(ctx context.Context, device journal.DeviceID, from int64, most int) (journal.Segment, error)
}

// History answers what the hub must know of a log's past.
type History interface {
	RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error)
	// KeyAt is the key that signs the state of a log of a size.
	KeyAt(ctx context.Context, device journal.DeviceID, size int64) (string, error)
	// Countersignature verifies a countersigned state of a log by the keys of
	// the device and of the hub.
	Countersignature(ctx context.Context, device journal.DeviceID, signed []byte) (journal.Countersigned, error)
	Closed(ctx context.Context, device journal.DeviceID) (string, error)
	CloseLog(ctx context.Context, device journal.DeviceID, reason string) error
}

// Receipts keeps the hub's countersignatures.
type Receipts interface {
	SaveCountersigned(ctx context.Context, c journal.Countersigned) error
	LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error)
}

// Cards keeps customer cards.
type Cards interface {
	CardsSince(ctx context.Context, rev int64) ([]journal.CardState, error)
	SaveCard(ctx context.Context, s journal.CardState) error
}

// Notes keeps marks, and what could not be verified.
type Notes interface {
	Mark(ctx context.Context, name string) (string, error)
	SetMark(ctx context.Context, name, value string) error
	Quarantine(ctx context.Context, device journal.DeviceID, reason string, raw []byte) error
	Quarantined(ctx context.Context, device journal.DeviceID) iter.Seq2[[]byte, error]
	Woken() <-chan struct{}
}

// Room refuses where the disk has too little left for an original.
type Room interface{ Room(photo bool) error }

// Named says whether an entry names an original: nothing else is taken in. It is
// noted there that one arrived, so that one which is missing later is missed.
type Named interface {
	// Lacking lists originals of other devices that did not arrive, by their hashes, those
	// after one.
	Lacking(ctx context.Context, after media.Ref, most int) ([]media.Ref, error)
	Confirm(ctx context.Context, ref media.Ref, at time.Time) error
	Names(ctx context.Context, ref media.Ref) (bool, error)
}

// Arrivals takes originals in, piece by piece.
type Arrivals interface {
	Has(ctx context.Context, ref media.Ref) (bool, error)
	Missing(ctx context.Context, ref media.Ref, size int64) ([]int, error)
	PutChunk(ctx context.Context, ref media.Ref, size int64, index int, data []byte) error
	Finish(ctx context.Context, ref media.Ref, size int64) (media.Photo, error)
}

// Unfinished throws away pieces of originals that are not going to be whole: of one, or of
// all of which none came since.
type Unfinished interface {
	Drop(ctx context.Context, ref media.Ref, size int64) error
	DropOlder(ctx context.Context, since time.Time) error
}

// Client is one device as the broker lets it in: by its connection key. What it may
// publish and hear follows from its name ([segment.Permissions]), and from nothing else
// that was ever kept.
type Client struct {
	Device journal.DeviceID
	Key    string
}

// Door lets devices in at the broker. Admit replaces the whole list; whoever
// is no longer on it is cut off at once.
type Door interface {
	Admit(ctx context.Context, clients []Client) error
}

// Config says what a hub works with.
type Config struct {
	Shop     journal.ShopID
	ShopName string
	Device   journal.DeviceID // the hub's own log
	By       journal.PersonID // who stands for entries that the hub writes by itself
	Key      proof.Key        // signs the hub's own log
	Cosigner proof.Key        // countersigns
	// HubKey and CosignKey are the verifier keys with which the shop was
	// founded, from which a tablet that joins follows the hub's log; left out,
	// they are those of Key and Cosigner.
	HubKey, CosignKey string
	Agreed            []segment.AgreedKeys // told to those who join

	Log      Log
	History  History
	Receipts Receipts
	Cards    Cards
	Notes    Notes
	Room     Room
	Named    Named
	Arrivals Arrivals
	Pieces   Unfinished
	Door     Door

	Conn   *nats.Conn
	JS     jetstream.JetStream
	Stream jetstream.Stream
	Port   int // of the broker, told to those who join
	// Where says at which addresses the broker is to be found, told to tablets; nil says
	// nothing.
	Where func() []string
	// Admitted is whom the broker lets in from its start, as the door kept
	// it. Where that is what the register says, the door is left alone.
	Admitted []Client

	Codec  *segment.Codec
	Now    func() time.Time
	Logger *slog.Logger

	// Patience is how long a hub that lost entries of its own log holds back
	// from writing new ones while devices may still bring the lost ones. Zero
	// means the default.
	Patience time.Duration
}

// authority is whose word counts in the hub's shop.
func (c *Config) authority() journal.Authority {
	return journal.Authority{Shop: c.Shop, Hub: c.Device}
}

// DefaultPatience gives every tablet of a shop that is switched on the time to
// reconnect.
const DefaultPatience = 2 * time.Minute

// Hub is the hub at work.
type Hub struct {
	cfg   Config
	began int64 // tells one run of the hub from the next

	mu   sync.Mutex // guards what follows, and joining: one device at a time
	reg  register
	door []Client // whom the broker lets in
	// agreed is who agreed to the hub's keys, of those who must.
	agreed map[journal.DeviceID]bool
	out    map[journal.DeviceID]bool // who was cut off, in the register or not yet
	loss   loss
	forks  map[journal.DeviceID]*journal.Fork // found and not yet in the register

	looked   map[journal.DeviceID]int64 // so many entries of the log cite nothing
	compared map[journal.DeviceID]bool  // what its histories have in common is in the register, or nobody knows

	greeted map[journal.DeviceID]time.Time // when each last was, in this run
	desk    cardDesk

	ears     map[journal.DeviceID]*ear // of those whom the door lets in, while the hub runs
	rests    map[journal.DeviceID]Rest
	readings map[journal.DeviceID]*spent // of clocks that were compared
	life     context.Context             // of what hears and answers; nil until it does
	work     sync.WaitGroup              // what answers

	paying      sync.Mutex                 // guards what is spent; taken last
	quarantined map[journal.DeviceID]int64 // bytes of a sender that were kept in this run; guarded by paying
	originals   unfinished
	without     without
	reached     map[journal.DeviceID]int64 // how far each was countersigned when the hub started; not changed after that
	swept       time.Time                  // when old pieces were last thrown away; owned by the loop that shows the own log

	tally tally

	ready   chan struct{} // closed when the register is whole and devices may write
	whole   sync.Once
	showing sync.Mutex                        // guards what follows: one publisher at a time
	shown   map[journal.DeviceID]journal.Head // how far the stream holds each log; the checkpoint if it was put there in this run
	took    uint64                            // the database has all that the stream has up to here
	marked  uint64                            // and this is noted
	counted map[journal.DeviceID]int64        // how far each is countersigned, as far as that was looked up
	fresh   fresh
	more    chan struct{} // there is news to tell
}

// New makes a hub.
func New(cfg Config) *Hub {
	if cfg.Patience == 0 {
		cfg.Patience = DefaultPatience
	}
	return &Hub{cfg: cfg, began: cfg.Now().UnixNano(), reg: newRegister(cfg.authority()), door: cfg.Admitted, desk: newCardDesk(),
		loss: newLoss(), forks: map[journal.DeviceID]*journal.Fork{}, greeted: map[journal.DeviceID]time.Time{},
		agreed: map[journal.DeviceID]bool{}, out: map[journal.DeviceID]bool{}, looked: map[journal.DeviceID]int64{}, compared: map[journal.DeviceID]bool{}, shown: map[journal.DeviceID]journal.Head{}, counted: map[journal.DeviceID]int64{},
		ears: map[journal.DeviceID]*ear{}, rests: map[journal.DeviceID]Rest{}, readings: map[journal.DeviceID]*spent{}, quarantined: map[journal.DeviceID]int64{}, reached: map[journal.DeviceID]int64{},
		ready: make(chan struct{}), more: make(chan struct{}, 1)}
}

// Run works until the context ends. It returns an error only if it could not
// begin.
func (h *Hub) Run(ctx context.Context) error {
	if err := h.recover(ctx); err != nil {
		return fmt.Errorf("start the hub: %w", err)
	}
	var all sync.WaitGroup
	defer all.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if err := h.beginToListen(ctx); err != nil {
		return fmt.Errorf("listen for questions: %w", err)
	}
	defer h.work.Wait()
	all.Go(func() { h.showOwnLoop(ctx) })
	all.Go(func() { h.newsLoop(ctx) })
	<-ctx.Done()
	h.stopListening()
	h.showing.Lock()
	defer h.showing.Unlock()
	h.keepMark(context.WithoutCancel(ctx))
	return nil
}

// Ready is closed when the hub's register is whole and devices may write. A
// hub that lost all it had waits here for the first device that knows it.
func (h *Hub) Ready() <-chan struct{} { return h.ready }

// ErrRecovering is returned while entries of the hub's own log are missing.
var ErrRecovering = errors.New("a part of the hub’s own log is not here; it comes back from the tablets that connect, wait for it")

// starting is how long an append waits for a hub that is just starting.
const starting = 5 * time.Second

// Append writes an entry to the hub's own log and returns when the stream
// has it too.
func (h *Hub) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	entries, err := h.AppendAll(ctx, []journal.Draft{d})
	if len(entries) == 0 {
		return nil, err
	}
	return entries[0], err
}

// AppendAll writes entries to the hub's own log, all of them or none, and
// returns when the stream has them too. If the stream does not take them they
// come back beside a *[journal.Written]: they are written, and the hub goes on
// trying.
func (h *Hub) AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	select {
	case <-h.ready:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-time.After(starting):
	}
	entries, err := h.appendAll(ctx, drafts)
	if err != nil {
		return nil, err
	}
	if err := h.showOwn(ctx); err != nil {
		return entries, journal.Afterwards(fmt.Errorf("tablets get it as soon as the hub’s broker takes it: %w", err))
	}
	return entries, nil
}

// appendAll writes entries to the log. Who is revoked by one of them is cut off before,
// and how far that log counts is written in the same go.
func (h *Hub) appendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return nil, err
	}
	ends, err := h.shutOut(ctx, drafts)
	if err != nil {
		return nil, err
	}
	if err = h.mayWrite(ctx); err == nil {
		var entries []*journal.Entry
		if entries, err = h.cfg.Log.AppendAll(ctx, slices.Concat(drafts, ends)); err == nil {
			h.sayRevoked(ctx, drafts)
			return entries[:len(drafts)], nil
		}
	}
	invalid := (*journal.Invalid)(nil)
	switch {
	case len(ends) == 0:
		return nil, err
	case errors.As(err, &invalid):
		return nil, errors.Join(err, h.letBackIn(ctx, drafts))
	}
	return nil, &CutOff{err}
}

// appendHeld writes an entry if the hub may. mu is held.
func (h *Hub) appendHeld(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	if err := h.mayWrite(ctx); err != nil {
		return nil, err
	}
	return h.cfg.Log.Append(ctx, d)
}

// mayWrite refuses as long as older entries may still come back, which a new one
// would contradict. mu is held.
func (h *Hub) mayWrite(ctx context.Context) error {
	select {
	case <-h.ready:
	default:
		return ErrRecovering
	}
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	if h.waits() {
		return ErrRecovering
	}
	return h.endLoss(ctx)
}

// refresh reads the register on from where it stood and does what it says:
// admits who is on it and closes forked logs. It is called when the stream
// has the hub's log as far as it is here.
func (h *Hub) refresh(ctx context.Context) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.readRegister(ctx); err != nil {
		return err
	}
	// Half a register would lock out those whose entries are still to come.
	if !h.reg.founded || !h.loss.streamRead || h.claimOpen() {
		return nil
	}
	h.whole.Do(func() { close(h.ready) })
	if !h.waits() {
		if err := h.endLoss(ctx); err != nil {
			return err
		}
	}
	if !h.reg.changed {
		return nil
	}
	for device := range h.reg.closings.Forks() {
		if err := h.closeLog(ctx, device); err != nil {
			return err
		}
	}
	if err := h.admit(ctx); err != nil {
		return err
	}
	h.reg.changed = false
	return nil
}

// admit tells the door whom to let in, if that has changed. mu is held.
func (h *Hub) admit(ctx context.Context) error {
	return h.letOnly(ctx, h.letIn())
}

// shut keeps a device out that was in, and changes nothing for anybody else. mu is held.
func (h *Hub) shut(ctx context.Context, device journal.DeviceID) error {
	return h.letOnly(ctx, slices.DeleteFunc(slices.Clone(h.door), func(c Client) bool { return c.Device == device }))
}

func (h *Hub) letOnly(ctx context.Context, clients []Client) error {
	if slices.Equal(clients, h.door) {
		return h.listen()
	}
	if err := h.cfg.Door.Admit(ctx, clients); err != nil {
		return err
	}
	h.door = clients
	return h.listen()
}

// readRegister reads the register on without acting on it. mu is held.
func (h *Hub) readRegister(ctx context.Context) error {
	if err := h.reg.read(h.cfg.Log.Entries(ctx, h.cfg.Device, h.reg.next)); err != nil {
		return fmt.Errorf("read register: %w", err)
	}
	return nil
}

// news has every device look again.
func (h *Hub) news() {
	select {
	case h.more <- struct{}{}:
	default:
	}
}

// newsRest is how long the hub says nothing after news, so that a backlog
// that comes in does not have every device look after each segment.
const newsRest = 50 * time.Millisecond

func (h *Hub) newsLoop(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-h.more:
		}
		if err := h.cfg.Conn.Publish(segment.News(h.cfg.Shop), nil); err != nil {
			h.cfg.Logger.DebugContext(ctx, "tell news", "error", err) // every device looks by itself too
		}
		pause(ctx, newsRest)
	}
}
