package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

type tabletJoin struct {
	File string `name:"invitation-file" help:"The file that holds the invitation, which begins with FETTLE1; - is standard input." placeholder:"FILE"`
	Name string `help:"What this tablet is called, such as \"bench 1\"; the invitation may say." placeholder:"NAME"`
}

// Help says how the invitation is read.
func (*tabletJoin) Help() string {
	return "On a terminal it asks for the invitation that `hub invite` printed or the desk shows. Otherwise it is read from standard input, or from the file named with --invitation-file."
}

// read reads the invitation, which is not a word of the command line.
func (c *tabletJoin) read(t *terminal) (segment.Invitation, error) {
	if c.File == "" && t.typist() != nil {
		fmt.Fprint(t.Err, "Invitation: ")
	}
	typed, err := secretIn(t, "invitation-file", cmp.Or(c.File, fromInput), false)
	if err != nil {
		return segment.Invitation{}, err
	}
	if strings.TrimSpace(typed) == "" {
		return segment.Invitation{}, &exit.Error{Status: exit.Refused, Sentence: "there is no invitation; type the line that `hub invite` printed, or name a file that holds it with --invitation-file"}
	}
	invitation, err := segment.ParseInvitation(typed)
	if err != nil {
		return invitation, &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	return invitation, nil
}

// Run joins a shop. Keys and name are kept before the hub is asked, so that
// a lost answer can be asked for again.
func (c *tabletJoin) Run(ctx context.Context, t *terminal) error {
	invitation, err := c.read(t)
	if err != nil {
		return err
	}
	if invitation.Expired(t.Now()) {
		return &exit.Error{Status: exit.Refused, Sentence: "this invitation has expired; ask for a new one with `hub invite`"}
	}
	lock, err := folder.Lock(t.Data)
	if err != nil {
		return err
	}
	id, took, err := joinShop(ctx, t, t.Data, invitation, c.Name)
	if err := errors.Join(err, lock.Unlock()); err != nil {
		return err
	}
	sayTaken(t.Out, took)
	fmt.Fprintf(t.Out, "This machine is now the tablet %q of %q.\nKeep it in step with:  fettlebook tablet run --data %s\n", id.Name, id.ShopName, t.Data)
	return nil
}

// joinShop turns a folder into a tablet's, and takes over what an earlier log
// of it holds that counts no more. The caller holds its lock.
func joinShop(ctx context.Context, t *terminal, dir string, invitation segment.Invitation, name string) (id folder.Identity, took sqlitelog.Haul, err error) {
	if name == "" {
		name = invitation.Name
	}
	id, joined, err := askToJoin(ctx, t, dir, invitation, name)
	var no *uplink.NotJoined
	if errors.As(err, &no) && no.Revoked && id.Role == folder.Tablet {
		// The machine was let in once and may be again, as another tablet.
		if err := closeLog(ctx, t, dir, id, no.Sentence); err != nil {
			return id, took, err
		}
		id, joined, err = askToJoin(ctx, t, dir, invitation, name)
	}
	if errors.As(err, &no) {
		return id, took, &exit.Error{Status: exit.Refused, Sentence: no.Sentence, Err: err}
	}
	if err != nil {
		return id, took, err
	}
	if r := joined.Replaced; r != nil {
		for i := range id.Owed {
			if id.Owed[i].Device == id.Earlier[len(id.Earlier)-1] {
				id.Owed[i].Counts, id.Owed[i].Branch = &r.Counts, r.Branch
			}
		}
	}
	id.Role, id.ShopName, id.Name = folder.Tablet, joined.ShopName, name
	id.Hub, id.HubKey, id.CosignKey = joined.Hub, joined.HubKey, joined.CosignKey
	id.Agreed = joined.Agreed
	id.Fingerprint, id.Brokers = invitation.Fingerprint, []string{joined.Broker}
	if id.Name == "" {
		id.Name = string(id.Device)
	}
	f, err := folder.Found(ctx, dir, id, t.folder())
	if err != nil {
		return id, took, err
	}
	if err := f.Close(); err != nil {
		return id, took, err
	}
	return f.Identity, f.Took, folder.WriteIdentity(dir, f.Identity) // from here on the journal stands
}

// askToJoin asks the hub with the folder's name and keys.
func askToJoin(ctx context.Context, t *terminal, dir string, invitation segment.Invitation, name string) (folder.Identity, uplink.Joined, error) {
	id, err := applicant(ctx, t, dir, invitation)
	if err != nil {
		return id, uplink.Joined{}, err
	}
	logKey, err := folder.ReadProofKey(dir, folder.LogKey)
	if err != nil {
		return id, uplink.Joined{}, err
	}
	line, err := folder.ReadLineKey(dir)
	if err != nil {
		return id, uplink.Joined{}, err
	}
	asks := uplink.Applicant{Device: id.Device, Name: name, Log: logKey, Line: line}
	if n := len(id.Earlier); n > 0 {
		asks.Replaces = id.Earlier[n-1]
	}
	joined, err := uplink.Join(ctx, invitation, asks, broker.ClientTLS(invitation.Fingerprint))
	if no := (*uplink.NotJoined)(nil); err != nil && !errors.As(err, &no) {
		err = &exit.Error{Status: exit.Busy, Sentence: err.Error(), Err: err}
	}
	return id, joined, err
}

// applicant prepares the folder: a new name and new keys, or those of the
// last try that did not finish. A tablet whose log is closed joins again with a
// new one; its entries stay. One whose log is open asks with what it has.
func applicant(ctx context.Context, t *terminal, dir string, invitation segment.Invitation) (folder.Identity, error) {
	id, err := folder.ReadIdentity(dir)
	switch {
	case errors.Is(err, folder.ErrNoFolder):
		if err := folder.Begin(dir); err != nil {
			return id, err
		}
		id = folder.Identity{}
	case err != nil:
		return id, err
	case id.Role == folder.Joining && string(id.Shop) == invitation.Shop:
		return id, drawOwn(dir, id, t.Rand)
	case id.Role == folder.Hub:
		return id, notA(folder.Tablet, id)
	case id.Role == folder.Tablet:
		if string(id.Shop) != invitation.Shop {
			return id, &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("this folder belongs to %q; join another shop with another --data folder", id.ShopName)}
		}
		open, err := logIsOpen(ctx, t, dir, id)
		if err != nil || open {
			// With the same keys: a hub that lost the tablet's enrolment takes
			// it in again, one that knows it says so.
			return id, err
		}
		if err := folder.PutKeysAway(dir, string(id.Device)); err != nil {
			return id, err
		}
		id.Earlier = append(id.Earlier, id.Device)
		id.Owed = append(id.Owed, folder.Owed{Device: id.Device})
	}
	id.Role, id.Shop = folder.Joining, journal.ShopID(invitation.Shop)
	if id.Device, err = journal.NewDeviceID(t.Rand); err != nil {
		return id, err
	}
	if err := folder.WriteIdentity(dir, id); err != nil {
		return id, err
	}
	return id, drawOwn(dir, id, t.Rand)
}

// drawOwn draws the keys of a tablet that joins, unless an earlier try under its name did:
// the hub may know them. The log key, which carries the name, comes last.
func drawOwn(dir string, id folder.Identity, rand io.Reader) error {
	key, err := folder.ReadProofKey(dir, folder.LogKey)
	if err == nil && strings.HasPrefix(key.Verifier(), proof.Origin(id.Shop, id.Device)+"+") {
		return nil
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := folder.DrawLineKey(dir); err != nil {
		return err
	}
	_, err = folder.DrawLogKey(dir, id, rand)
	return err
}

// closeLog has a log take no more entries, since the hub takes none of it.
func closeLog(ctx context.Context, t *terminal, dir string, id folder.Identity, reason string) error {
	f, err := folder.Held(ctx, dir, id, t.folder())
	if err != nil {
		return err
	}
	return errors.Join(f.Log.CloseLog(ctx, id.Device, reason), f.Close())
}

// logIsOpen reports whether a tablet may write on into its log. One that is lost would be
// begun a second time.
func logIsOpen(ctx context.Context, t *terminal, dir string, id folder.Identity) (bool, error) {
	f, err := folder.Held(ctx, dir, id, t.folder())
	if errors.Is(err, sqlitelog.ErrLost) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	closed, err := f.Log.Closed(ctx, id.Device)
	return closed == "", errors.Join(err, f.Close())
}
