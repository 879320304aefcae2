package main

import (
	"context"
	"fmt"

	"fettlebook/cmd/internal/folder"
)

type hubKeys struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// Help says what the keys are for.
func (*hubKeys) Help() string {
	return "Both are public. To have this hub’s log witnessed by another shop’s hub, that one is run with --witness-for and the key of this log. To have this hub witness another’s, that one is run with --witness, this hub’s countersigning key, @, and this hub’s address with /witness behind it."
}

// Run prints the public keys of a hub.
func (c *hubKeys) Run(_ context.Context, t *terminal) error {
	if _, err := identityOf(t.Data, folder.Hub); err != nil {
		return err
	}
	key, err := folder.ReadProofKey(t.Data, folder.LogKey)
	if err != nil {
		return err
	}
	cosign, err := folder.ReadProofKey(t.Data, folder.CosignKey)
	if err != nil {
		return err
	}
	if c.JSON {
		return printReport(t.Out, "hub keys", keysView{key.Verifier(), cosign.Verifier()})
	}
	fmt.Fprintf(t.Out, "Key of the hub’s log:  %s\nCountersigning key:    %s\n", key.Verifier(), cosign.Verifier())
	return nil
}

// keysView is the hub's public keys, as they are printed.
type keysView struct {
	Log            string `json:"log"`
	Countersigning string `json:"countersigning"`
}
