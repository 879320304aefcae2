package broker_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"fettlebook/sync/broker"
)

func evidence() jetstream.StreamConfig {
	return broker.StreamConfig("SHOP", []string{"fb.shop.log.*", "fb.shop.extra"}, 1)
}

func TestStreamConfig(t *testing.T) {
	subjects := []string{"fb.shop.log.*"}
	cfg := broker.StreamConfig("SHOP", subjects, 3)
	for what, ok := range map[string]bool{
		"name":               cfg.Name == "SHOP",
		"subjects":           slices.Equal(cfg.Subjects, subjects),
		"replicas":           cfg.Replicas == 3,
		"on disk":            cfg.Storage == jetstream.FileStorage,
		"kept by limits":     cfg.Retention == jetstream.LimitsPolicy,
		"old ones stay":      cfg.Discard == jetstream.DiscardNew,
		"no limits":          cfg.MaxMsgs == -1 && cfg.MaxBytes == -1 && cfg.MaxMsgsPerSubject == -1 && cfg.MaxAge == 0,
		"no delete":          cfg.DenyDelete,
		"no purge":           cfg.DenyPurge && !cfg.AllowRollup,
		"no compression":     cfg.Compression == jetstream.NoCompression,
		"synced":             cfg.PersistMode == jetstream.DefaultPersistMode,
		"acknowledged":       !cfg.NoAck,
		"two minutes":        cfg.Duplicates == 2*time.Minute,
		"one message's size": cfg.MaxMsgSize == broker.MaxPayload,
	} {
		if !ok {
			t.Errorf("not so: %s", what)
		}
	}
}

func TestEnsureStreamTwice(t *testing.T) {
	s := openShop(t)
	js := s.jetStream(t)
	for range 2 {
		stream, err := broker.EnsureStream(t.Context(), js, evidence())
		if err != nil {
			t.Fatal(err)
		}
		if got := stream.CachedInfo().Config.Name; got != "SHOP" {
			t.Errorf("got stream %q", got)
		}
	}
	// Subjects are a set.
	turned := evidence()
	slices.Reverse(turned.Subjects)
	if _, err := broker.EnsureStream(t.Context(), js, turned); err != nil {
		t.Errorf("subjects in another order: %v", err)
	}
}

func TestEvidenceStreamForgetsNothing(t *testing.T) {
	s := openShop(t)
	js := s.jetStream(t)
	stream, err := broker.EnsureStream(t.Context(), js, evidence())
	if err != nil {
		t.Fatal(err)
	}
	ack, err := js.Publish(t.Context(), "fb.shop.log.t1", []byte("segment"), jetstream.WithMsgID("t1/0"))
	if err != nil {
		t.Fatal(err)
	}
	again, err := js.Publish(t.Context(), "fb.shop.log.t1", []byte("segment"), jetstream.WithMsgID("t1/0"))
	if err != nil {
		t.Fatal(err)
	}
	if !again.Duplicate || again.Sequence != ack.Sequence {
		t.Errorf("the same message id again: %+v, want a duplicate of %d", again, ack.Sequence)
	}
	refused := func(what string, err error) {
		t.Helper()
		var api *jetstream.APIError
		if !errors.As(err, &api) {
			t.Errorf("%s: %v, want the server's refusal", what, err)
		}
	}
	refused("purge", stream.Purge(t.Context()))
	for what, err := range map[string]error{
		"delete":        stream.DeleteMsg(t.Context(), ack.Sequence),
		"secure delete": stream.SecureDeleteMsg(t.Context(), ack.Sequence),
	} {
		if !errors.Is(err, jetstream.ErrMsgDeleteUnsuccessful) {
			t.Errorf("%s: %v, want the server's refusal", what, err)
		}
	}
	lax := evidence()
	lax.DenyPurge, lax.DenyDelete = false, false
	_, err = js.UpdateStream(t.Context(), lax)
	refused("lifting the ban", err)
	rollup := nats.NewMsg("fb.shop.log.t1")
	rollup.Header.Set("Nats-Rollup", "all")
	_, err = js.PublishMsg(t.Context(), rollup)
	refused("rollup", err)

	info, err := stream.Info(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if info.State.Msgs != 1 || info.State.NumDeleted != 0 {
		t.Errorf("the stream holds %d messages, %d deleted, want the one", info.State.Msgs, info.State.NumDeleted)
	}
}

// A stream made by somebody else's hand on a real server.
func TestEnsureStreamReportsDeviations(t *testing.T) {
	s := openShop(t)
	js := s.jetStream(t)
	lax := evidence()
	lax.DenyPurge = false
	lax.Compression = jetstream.S2Compression
	lax.PersistMode = jetstream.AsyncPersistMode
	lax.MaxAge = time.Hour
	if _, err := js.CreateStream(t.Context(), lax); err != nil {
		t.Fatal(err)
	}
	if _, err := js.Publish(t.Context(), "fb.shop.log.t1", []byte("segment")); err != nil {
		t.Fatal(err)
	}
	_, err := broker.EnsureStream(t.Context(), js, evidence())
	var bad *broker.StreamError
	if !errors.As(err, &bad) {
		t.Fatalf("EnsureStream: %v, want a StreamError", err)
	}
	want := []broker.Deviation{
		{Setting: "persist_mode", Want: "Default", Got: "Async"},
		{Setting: "compression", Want: "None", Got: "S2"},
		{Setting: "max_age", Want: "0s", Got: "1h0m0s"},
		{Setting: "deny_purge", Want: "true", Got: "false"},
	}
	if bad.Stream != "SHOP" || !slices.Equal(bad.Deviations, want) {
		t.Errorf("got %s %+v, want SHOP %+v", bad.Stream, bad.Deviations, want)
	}
	// Reported, not touched.
	stream, err := js.Stream(t.Context(), "SHOP")
	if err != nil {
		t.Fatal(err)
	}
	if info := stream.CachedInfo(); info.State.Msgs != 1 || info.Config.DenyPurge {
		t.Errorf("EnsureStream touched the stream: %+v", info)
	}
}

func TestDeviations(t *testing.T) {
	for setting, change := range map[string]func(*jetstream.StreamConfig){
		"subjects":                  func(c *jetstream.StreamConfig) { c.Subjects = c.Subjects[:1] },
		"storage":                   func(c *jetstream.StreamConfig) { c.Storage = jetstream.MemoryStorage },
		"persist_mode":              func(c *jetstream.StreamConfig) { c.PersistMode = jetstream.AsyncPersistMode },
		"compression":               func(c *jetstream.StreamConfig) { c.Compression = jetstream.S2Compression },
		"retention":                 func(c *jetstream.StreamConfig) { c.Retention = jetstream.WorkQueuePolicy },
		"discard":                   func(c *jetstream.StreamConfig) { c.Discard = jetstream.DiscardOld },
		"max_msgs":                  func(c *jetstream.StreamConfig) { c.MaxMsgs = 1000 },
		"max_msgs_per_subject":      func(c *jetstream.StreamConfig) { c.MaxMsgsPerSubject = 1 },
		"max_bytes":                 func(c *jetstream.StreamConfig) { c.MaxBytes = 1 << 20 },
		"max_age":                   func(c *jetstream.StreamConfig) { c.MaxAge = time.Hour },
		"max_msg_size":              func(c *jetstream.StreamConfig) { c.MaxMsgSize = 1000 },
		"duplicate_window":          func(c *jetstream.StreamConfig) { c.Duplicates = time.Second },
		"no_ack":                    func(c *jetstream.StreamConfig) { c.NoAck = true },
		"deny_delete":               func(c *jetstream.StreamConfig) { c.DenyDelete = false },
		"deny_purge":                func(c *jetstream.StreamConfig) { c.DenyPurge = false },
		"allow_rollup_hdrs":         func(c *jetstream.StreamConfig) { c.AllowRollup = true },
		"allow_msg_ttl":             func(c *jetstream.StreamConfig) { c.AllowMsgTTL = true },
		"allow_msg_counter":         func(c *jetstream.StreamConfig) { c.AllowMsgCounter = true },
		"allow_msg_schedules":       func(c *jetstream.StreamConfig) { c.AllowMsgSchedules = true },
		"subject_delete_marker_ttl": func(c *jetstream.StreamConfig) { c.SubjectDeleteMarkerTTL = time.Hour },
		"sealed":                    func(c *jetstream.StreamConfig) { c.Sealed = true },
		"mirror":                    func(c *jetstream.StreamConfig) { c.Mirror = &jetstream.StreamSource{Name: "OTHER"} },
		"sources":                   func(c *jetstream.StreamConfig) { c.Sources = []*jetstream.StreamSource{{Name: "OTHER"}} },
		"subject_transform":         func(c *jetstream.StreamConfig) { c.SubjectTransform = &jetstream.SubjectTransformConfig{} },
		"num_replicas":              func(c *jetstream.StreamConfig) { c.Replicas = 0 },
	} {
		t.Run(setting, func(t *testing.T) {
			got := evidence()
			change(&got)
			d := broker.StreamDeviations(evidence(), got)
			if len(d) != 1 || d[0].Setting != setting {
				t.Errorf("deviations %+v, want exactly %s", d, setting)
			}
		})
	}
	more := evidence()
	more.Replicas = 3
	more.Description = "for the people who look after the cluster"
	if d := broker.StreamDeviations(evidence(), more); len(d) != 0 {
		t.Errorf("harmless differences reported: %+v", d)
	}
}
