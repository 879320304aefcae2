package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/words"
	"fettlebook/sync/segment"
)

type tabletAgree struct {
	File string `arg:"" type:"path" help:"The file that hub appeal wrote." placeholder:"FILE"`
	By   string `env:"FETTLEBOOK_BY" help:"Who agrees, a short name such as io." placeholder:"PERSON"`
	New  string `help:"Agree: the fingerprint of the new keys as the owner or the desk says it, four groups of four. Left out, it is only shown what is asked." placeholder:"FINGERPRINT"`
}

// Help says what agreeing means.
func (*tabletAgree) Help() string {
	return `The hub’s old keys are gone, and somebody says that a hub with new keys goes on in its place. Nothing but the word of people shows that it is the shop’s: so ask the owner, by another way than the network, for the fingerprint of the new keys, and give it with --new. From then on this tablet goes by the new keys and by no hub with the old ones, and an entry of its log says so. A tablet at which nobody agrees keeps what is written there and brings it to nobody.`
}

// Run shows what is asked, and agrees if that is said.
func (c *tabletAgree) Run(ctx context.Context, t *terminal) (err error) {
	raw, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	if _, err := identityOf(t.Data, folder.Tablet); err != nil {
		return err
	}
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	p, a, err := weigh(ctx, f, string(raw))
	if err != nil {
		return err
	}
	if c.New != "" {
		if err := isOf(p, c.New); err != nil {
			return err
		}
	}
	by, err := person(c.By)
	if err != nil && c.New != "" {
		return err
	}
	fmt.Fprintf(t.Out, "The keys by which this tablet knows its hub are said to be %s. A hub with new keys asks to go on in its place.\nFingerprint of the old keys: %s\nFingerprint of the new keys: %s\nThey were made on %s.\n",
		p.Because, oldKeys(p).Begins(), p.New().Begins(), words.Zoned(madeAt(a)))
	if c.New == "" {
		fmt.Fprintln(t.Out, "Nothing was agreed to. Ask the owner for the fingerprint of the new keys, and agree with --new and what they say.")
		return nil
	}
	if _, err := f.Agree(ctx, a, by); err != nil {
		return refusedKeys(err)
	}
	fmt.Fprintln(t.Out, "Agreed. This tablet goes by the new keys from now on.")
	return nil
}

// refusedKeys says why an appeal is not taken.
func refusedKeys(err error) error {
	for _, why := range []error{folder.ErrOtherShop, folder.ErrOtherOldKeys, folder.ErrAgreed, segment.ErrAppeal} {
		if errors.Is(err, why) {
			return &exit.Error{Status: exit.Refused, Sentence: why.Error(), Err: err}
		}
	}
	return err
}
