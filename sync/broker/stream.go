package broker

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// duplicateWindow is how long the stream remembers message ids. It only saves
// work: a segment sent again later is recognised by the hub.
const duplicateWindow = 2 * time.Minute

// unlimited is the server's written form of "no limit".
const unlimited = -1

// StreamConfig returns the settings of a stream that holds evidence: on disk,
// for ever, nothing deleted, purged, rolled up or expired. When the store is
// full, new messages are refused and old ones stay. Persist mode keeps its
// default, because the asynchronous one switches the server's syncing off, and
// compression stays off, because it rewrites blocks.
//
// replicas is 1 for the embedded broker and 3 on a cluster.
func StreamConfig(name string, subjects []string, replicas int) jetstream.StreamConfig {
	return jetstream.StreamConfig{
		Name:              name,
		Subjects:          slices.Clone(subjects),
		Storage:           jetstream.FileStorage,
		Retention:         jetstream.LimitsPolicy,
		Discard:           jetstream.DiscardNew,
		Replicas:          replicas,
		DenyDelete:        true,
		DenyPurge:         true,
		Compression:       jetstream.NoCompression,
		PersistMode:       jetstream.DefaultPersistMode,
		MaxConsumers:      unlimited,
		MaxMsgs:           unlimited,
		MaxMsgsPerSubject: unlimited,
		MaxBytes:          unlimited,
		MaxMsgSize:        MaxPayload,
		Duplicates:        duplicateWindow,
	}
}

// EnsureStream returns the stream of that name, made from cfg if there is none.
// One that exists is compared with cfg and never changed or deleted: where a
// setting that evidence rests on differs, the error is a [*StreamError] that
// names each one. More replicas than asked for are welcome.
func EnsureStream(ctx context.Context, js jetstream.StreamManager, cfg jetstream.StreamConfig) (jetstream.Stream, error) {
	stream, err := js.Stream(ctx, cfg.Name)
	if errors.Is(err, jetstream.ErrStreamNotFound) {
		stream, err = js.CreateStream(ctx, cfg)
		if errors.Is(err, jetstream.ErrStreamNameAlreadyInUse) { // somebody was quicker
			stream, err = js.Stream(ctx, cfg.Name)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("open stream %s: %w", cfg.Name, err)
	}
	// A stream made a moment ago is checked too: an old server drops
	// settings it does not know without a word.
	if d := deviations(cfg, stream.CachedInfo().Config); len(d) > 0 {
		return nil, &StreamError{Stream: cfg.Name, Deviations: d}
	}
	return stream, nil
}

// StreamError: a stream exists, but its settings do not protect what it holds.
type StreamError struct {
	Stream     string
	Deviations []Deviation
}

// Deviation is one setting under the server's name for it.
type Deviation struct {
	Setting, Want, Got string
}

func (e *StreamError) Error() string {
	list := make([]string, len(e.Deviations))
	for i, d := range e.Deviations {
		list[i] = fmt.Sprintf("%s is %s and should be %s", d.Setting, d.Got, d.Want)
	}
	return fmt.Sprintf("stream %s is not set up to hold evidence (%s): correct these settings, or use a stream of another name",
		e.Stream, strings.Join(list, "; "))
}

func deviations(want, got jetstream.StreamConfig) []Deviation {
	var list []Deviation
	differ := func(setting string, want, got any) {
		list = append(list, Deviation{Setting: setting, Want: fmt.Sprint(want), Got: fmt.Sprint(got)})
	}
	wanted := evidence(want)
	for i, g := range evidence(got) {
		if w := wanted[i]; fmt.Sprint(w.value) != fmt.Sprint(g.value) {
			differ(g.name, w.value, g.value)
		}
	}
	if got.Replicas < want.Replicas {
		differ("num_replicas", want.Replicas, got.Replicas)
	}
	return list
}

// setting is one stream setting under the server's name for it.
type setting struct {
	name  string
	value any
}

// evidence lists the settings that decide whether a message once stored stays,
// unaltered and under its own subject.
func evidence(c jetstream.StreamConfig) []setting {
	return []setting{
		{"subjects", slices.Sorted(slices.Values(c.Subjects))},
		{"storage", c.Storage},
		{"persist_mode", c.PersistMode},
		{"compression", c.Compression},
		{"retention", c.Retention},
		{"discard", c.Discard},
		{"max_msgs", c.MaxMsgs},
		{"max_msgs_per_subject", c.MaxMsgsPerSubject},
		{"max_bytes", c.MaxBytes},
		{"max_age", c.MaxAge},
		{"max_msg_size", c.MaxMsgSize},
		{"duplicate_window", c.Duplicates},
		{"no_ack", c.NoAck},
		{"deny_delete", c.DenyDelete},
		{"deny_purge", c.DenyPurge},
		{"allow_rollup_hdrs", c.AllowRollup},
		{"allow_msg_ttl", c.AllowMsgTTL},
		{"allow_msg_counter", c.AllowMsgCounter},
		{"allow_msg_schedules", c.AllowMsgSchedules},
		{"subject_delete_marker_ttl", c.SubjectDeleteMarkerTTL},
		{"sealed", c.Sealed},
		{"mirror", c.Mirror != nil},
		{"sources", len(c.Sources)},
		{"subject_transform", c.SubjectTransform != nil},
	}
}
