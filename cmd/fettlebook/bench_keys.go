package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/journal"
	"fettlebook/journal/words"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// benchKeys are the keys by which a tablet that runs knows its hub.
type benchKeys struct {
	t    *terminal
	f    *folder.Folder
	wire *uplink.Wire
}

// Weigh implements [bench.Keys].
func (k benchKeys) Weigh(ctx context.Context, text string) (bench.Asked, error) {
	p, a, err := weigh(ctx, k.f, text)
	if err != nil {
		return bench.Asked{}, err
	}
	return bench.Asked{Because: p.Because, Old: oldKeys(p).Begins(), New: p.New().Begins(), Made: madeAt(a)}, nil
}

// Agree implements [bench.Keys]. The line looks for the hub where that says it is.
func (k benchKeys) Agree(ctx context.Context, text, fingerprint string, by journal.PersonID) error {
	p, a, err := weigh(ctx, k.f, text)
	if err != nil {
		return err
	}
	if err := isOf(p, fingerprint); err != nil {
		return err
	}
	if _, err := k.f.Agree(ctx, a, by); err != nil {
		return refusedKeys(err)
	}
	return k.wire.Learn(k.t.brokers(k.f.Brokers))
}

// weigh reads what is asked of a tablet.
func weigh(ctx context.Context, f *folder.Folder, text string) (*journal.KeyChange, segment.Appeal, error) {
	a, err := segment.ParseAppeal(text)
	if err != nil {
		return nil, a, refusedKeys(err)
	}
	p, err := f.Weigh(ctx, a)
	if err != nil {
		return nil, a, refusedKeys(err)
	}
	return p, a, nil
}

// isOf refuses a fingerprint that is not that of the new keys.
func isOf(p *journal.KeyChange, typed string) error {
	plain := func(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), "")) }
	if plain(typed) == plain(p.New().Begins()) {
		return nil
	}
	return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s is not the fingerprint of these keys, so they are not the ones that you were told of; nothing was agreed to", words.Quoted(typed))}
}

func oldKeys(p *journal.KeyChange) journal.Digest {
	return journal.HubFingerprint(p.OldLogKey, p.OldCosignKey)
}

// madeAt is when the keys were made, by the clock of their hub.
func madeAt(a segment.Appeal) time.Time {
	e, err := journal.Decode(a.Entry)
	if err != nil {
		return time.Time{}
	}
	return time.Time(e.Time)
}
