package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
)

// against is what a folder says beside another copy of the shop's logs, or beside a receipt.
type against struct {
	Format  string           `json:"format"` // always "fettlebook against 1"
	Logs    []audit.Compared `json:"logs,omitempty"`
	Receipt []string         `json:"receipt,omitempty"` // sentences
	Parted  bool             `json:"contradicts"`
}

// hold holds the folder against what was given: a data folder, or a receipt as text, as a
// file or as a picture of its code.
func (c *auditData) hold(ctx context.Context, t *terminal, id folder.Identity) (err error) {
	db, err := sqlitelog.OpenToInspect(ctx, folder.DatabasePath(t.Data))
	if err != nil {
		return folder.Lost(t.Data, id, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	found := against{Format: "fettlebook against 1"}
	if info, there := os.Stat(c.Against); there == nil && info.IsDir() {
		err = found.folder(ctx, id, db, c.Against)
	} else {
		err = found.receipt(ctx, id, db, c.Against)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		err = printWhole(t.Out, found)
	} else {
		found.print(t)
	}
	if err == nil && found.Parted {
		err = &exit.Error{Status: exit.Damaged, Sentence: "the two contradict each other, as listed; keep copies of both before you change anything"}
	}
	return err
}

func (a *against) print(t *terminal) {
	for _, l := range a.Logs {
		for i, line := range l.Lines() {
			if i > 0 {
				line = "  " + line
			}
			fmt.Fprintln(t.Out, line)
		}
	}
	for _, line := range a.Receipt {
		fmt.Fprintln(t.Out, line)
	}
	if len(a.Logs) > 0 {
		fmt.Fprintln(t.Out, "What whoever had both copies changed in both in the same way does not show here; a customer’s receipt or a witness from outside shows it.")
	}
}

func (a *against) folder(ctx context.Context, id folder.Identity, db *sqlitelog.DB, dir string) (err error) {
	other, err := folder.ReadIdentity(dir)
	if err != nil {
		return err
	}
	if other.Shop != id.Shop {
		return &exit.Error{Status: exit.Refused, Sentence: fmt.Sprintf("%s belongs to another shop; nothing can be compared", dir)}
	}
	there, err := sqlitelog.OpenToInspect(ctx, folder.DatabasePath(dir))
	if err != nil {
		return folder.Lost(dir, other, err)
	}
	defer func() { err = errors.Join(err, there.Close()) }()
	if a.Logs, err = audit.Against(ctx, db, there); err != nil {
		return err
	}
	for _, l := range a.Logs {
		a.Parted = a.Parted || l.Parted
	}
	return nil
}

func (a *against) receipt(ctx context.Context, id folder.Identity, db *sqlitelog.DB, given string) error {
	r, err := verdict.Receipt(given)
	if err != nil {
		return err
	}
	keys, err := db.SuccessionOf(ctx, id.Founded())
	if err != nil {
		return err
	}
	if then := keys.At(r.Size); r.Shop != id.Shop || then.Fingerprint() != journal.Digest(r.Hub) {
		return &exit.Error{Status: exit.Refused, Sentence: "this receipt is of another shop or hub; nothing can be compared"}
	}
	root, have, err := audit.RootAt(ctx, db, id.Hub, r.Size)
	if err != nil {
		return err
	}
	switch {
	case have < r.Size && id.Role == folder.Hub:
		a.say(true, "The hub’s log here has %s, and the receipt was made when it had %d.", words.Count(int(have), "entry"), r.Size)
	case have < r.Size:
		a.say(false, "The hub’s log has come here up to entry %d only; the receipt was made at %d.", have, r.Size)
	case root != r.Root:
		a.say(true, "The first %s of the hub’s log here are not those that the hub held when the receipt was made.", words.Count(int(r.Size), "entry"))
	default:
		a.say(false, "The first %s of the hub’s log here are those that the hub held when the receipt was made.", words.Count(int(r.Size), "entry"))
	}
	seal, err := sealIn(ctx, db, id.Hub, r.Job)
	if err != nil {
		return err
	}
	switch {
	case seal == nil:
		a.say(have >= r.Size, "No seal of job %s is here.", r.Job)
	case seal.Root != r.Seal:
		a.say(true, "The seal of job %s here is not the one on the receipt.", r.Job)
	default:
		a.say(false, "The seal of job %s here is the one on the receipt.", r.Job)
	}
	return nil
}

func (a *against) say(contradicts bool, format string, args ...any) {
	a.Receipt = append(a.Receipt, fmt.Sprintf(format, args...))
	a.Parted = a.Parted || contradicts
}

// sealIn finds the first seal of a job in the hub's log, nil for none.
func sealIn(ctx context.Context, db *sqlitelog.DB, hub journal.DeviceID, job journal.JobID) (*journal.Seal, error) {
	for l, err := range db.Entries(ctx, hub, 0) {
		if err != nil {
			return nil, err
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil || e.Type.Kind != journal.RecordSealed || e.Subject.Job() != job {
			continue
		}
		if p, err := e.Payload(); err == nil {
			if s, ok := p.(*journal.Seal); ok {
				return s, nil
			}
		}
	}
	return nil, nil
}
