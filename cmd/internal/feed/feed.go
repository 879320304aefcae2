// Package feed hands the entries of a hub's logs to other programs, to be read and no more:
// a stream of events (HTML Living Standard, section 9.2) that says how far it is, so that
// whoever was cut off goes on where it was.
//
//	GET /feed                    all logs, from their first entries on
//	GET /feed?from=CUT           all logs, from a cut on: DEVICE=N,DEVICE=N…, so many entries of each are known
//	GET /feed?log=DEVICE&from=N  one log, from its entry N on, counted from 0
//	…&follow=no                  ends when all that is here was told
//
// The id of each event is the cut behind it; Last-Event-ID goes before from. An event's data
// is one JSON object: device and index, the bytes of the entry as they were first written
// (entry, or raw in base64 if they are not an entry), and when the hub first countersigned it.
// Entries of one log come in their order. Which of two logs' entries was first, their after
// says, and not this stream.
package feed

import (
	"cmp"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"iter"
	"log/slog"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Path is where a hub has its feed.
const Path = "/feed"

// Log is what is told of.
type Log interface {
	Heads(ctx context.Context) ([]journal.Head, error)
	Entries(ctx context.Context, device journal.DeviceID, from int64) iter.Seq2[journal.Logged, error]
}

// Feed tells of a log.
type Feed struct {
	Log Log
	// Changed is closed once there is more than now.
	Changed func() <-chan struct{}
	Logger  *slog.Logger
}

// Cut is so many entries of each log.
type Cut map[journal.DeviceID]int64

// ParseCut reads a cut; an empty text is the beginning of all logs.
func ParseCut(text string) (Cut, error) {
	c := Cut{}
	for one := range strings.SplitSeq(text, ",") {
		if one == "" {
			continue
		}
		name, number, _ := strings.Cut(one, "=")
		var device journal.DeviceID
		n, err := strconv.ParseInt(number, 10, 64)
		if err = errors.Join(err, device.UnmarshalText([]byte(name))); err != nil || n < 0 {
			return nil, fmt.Errorf("%q does not say where to go on: write DEVICE=N, with commas between them, as the ids of events have it", one)
		}
		c[device] = n
	}
	return c, nil
}

// String writes the cut as [ParseCut] reads it.
func (c Cut) String() string {
	var list []string
	for _, device := range slices.Sorted(maps.Keys(c)) {
		list = append(list, fmt.Sprintf("%s=%d", device, c[device]))
	}
	return strings.Join(list, ",")
}

// told is an entry as it is told.
type told struct {
	Device   journal.DeviceID `json:"device"`
	Index    int64            `json:"index"`
	Received string           `json:"received,omitzero"` // when the hub first countersigned it
	Entry    jsontext.Value   `json:"entry,omitzero"`
	Raw      string           `json:"raw,omitzero"`
}

// asked is what somebody wants to hear.
type asked struct {
	only   journal.DeviceID // "" for all logs
	at     Cut
	follow bool
}

func parse(r *http.Request) (asked, error) {
	q := r.URL.Query()
	a := asked{follow: true}
	switch q.Get("follow") {
	case "", "yes":
	case "no":
		a.follow = false
	default:
		return a, errors.New("follow is yes or no")
	}
	from := cmp.Or(r.Header.Get("Last-Event-ID"), q.Get("from"))
	if log := q.Get("log"); log != "" {
		if err := a.only.UnmarshalText([]byte(log)); err != nil {
			return a, fmt.Errorf("log: %w", err)
		}
		if n, err := strconv.ParseInt(from, 10, 64); err == nil && n >= 0 {
			a.at = Cut{a.only: n}
			return a, nil
		}
	}
	var err error
	a.at, err = ParseCut(from)
	return a, err
}

// breath is how often a stream on which nothing happens says that it is there.
const breath = 15 * time.Second

// ServeHTTP tells entries until whoever asked is gone.
func (f *Feed) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	a, err := parse(r)
	if err != nil {
		http.Error(w, fmt.Sprintf("The feed cannot begin: %v.", err), http.StatusBadRequest)
		return
	}
	out := http.NewResponseController(w)
	if err := out.SetWriteDeadline(time.Time{}); err != nil { // the stream outlives that of other answers
		http.Error(w, "This connection cannot stream.", http.StatusNotImplemented)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	alive := time.NewTicker(breath)
	defer alive.Stop()
	for {
		changed := f.Changed() // before it is looked, so that nothing is missed
		if err := f.tell(r.Context(), w, a); err != nil {
			if r.Context().Err() == nil {
				f.Logger.WarnContext(r.Context(), "feed", "error", err)
			}
			return // whoever asked comes again with where it was
		}
		if out.Flush() != nil || !a.follow {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-changed:
		case <-alive.C:
			if _, err := fmt.Fprint(w, ": nothing new\n\n"); err != nil {
				return
			}
		}
	}
}

// tell tells what is here beyond the cut, and moves it.
func (f *Feed) tell(ctx context.Context, w http.ResponseWriter, a asked) error {
	heads, err := f.Log.Heads(ctx)
	if err != nil {
		return err
	}
	slices.SortFunc(heads, func(x, y journal.Head) int { return cmp.Compare(x.Device, y.Device) })
	for _, h := range heads {
		if a.only != "" && h.Device != a.only || h.Size <= a.at[h.Device] {
			continue
		}
		for l, err := range f.Log.Entries(ctx, h.Device, a.at[h.Device]) {
			if err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			a.at[h.Device] = l.Index + 1
			if err := event(w, a.at, l); err != nil {
				return err
			}
		}
	}
	return nil
}

func event(w http.ResponseWriter, at Cut, l journal.Logged) error {
	t := told{Device: l.Device, Index: l.Index}
	if !l.Received.IsZero() {
		t.Received = l.Received.UTC().Format(time.RFC3339)
	}
	if _, err := journal.Decode(l.Bytes); err == nil {
		t.Entry = l.Bytes
	} else {
		t.Raw = base64.StdEncoding.EncodeToString(l.Bytes)
	}
	raw, err := json.Marshal(t, json.Deterministic(true), jsontext.PreserveRawStrings(true))
	if err != nil {
		return fmt.Errorf("encode an entry: %w", err)
	}
	_, err = fmt.Fprintf(w, "id: %s\nevent: entry\ndata: %s\n\n", at, raw)
	return err
}
