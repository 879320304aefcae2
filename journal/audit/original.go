package audit

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"

	"fettlebook/media"
)

// listOriginals counts what lies in the photo folder, for the progress.
func (a *audit) listOriginals(ctx context.Context) {
	for ref, err := range a.Originals.All(ctx) {
		if err != nil {
			a.filesError = err
			return
		}
		a.files = append(a.files, ref)
		a.total++
	}
}

// checkOriginals checks every original that lies here, then looks for those
// that entries name.
func (a *audit) checkOriginals(ctx context.Context) error {
	if a.filesError != nil {
		a.damage(Where{Part: Original}, fmt.Sprintf("The folder of photographs cannot be listed: %v.", a.filesError), doOriginal)
	}
	seen := make(map[media.Ref]bool, len(a.files))
	for _, ref := range a.files {
		seen[ref] = true
		if err := a.checkOriginal(ctx, ref); err != nil {
			return err
		}
		a.step()
	}
	for _, ref := range sorted(a.photos) {
		if p := a.photos[ref]; !seen[ref] && p.at.Part != "" && !p.withdrawn {
			if err := a.checkOriginal(ctx, ref); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkOriginal reads one original once: its hash, and whether it is a whole
// picture. The error is the context's only.
func (a *audit) checkOriginal(ctx context.Context, ref media.Ref) error {
	p := a.photos[ref]
	at := Where{Part: Original, Photo: ref}
	if p != nil {
		at.Log, at.Entries, at.ID = p.at.Log, p.at.Entries, p.at.ID
	}
	got, err := a.inspect(ctx, ref)
	var refused *media.Refused
	var away *media.Away
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.As(err, &away):
		a.remark(at, "It lies in the archive "+away.Folder+", which is not in reach, and was not checked.", doConnect)
		return nil
	case errors.Is(err, media.ErrNotHere):
		a.missing(at, p)
		return nil
	case err != nil && !errors.As(err, &refused):
		a.damage(at, fmt.Sprintf("It cannot be read: %v.", err), doOriginal)
		return nil
	case got != ref:
		a.damage(at, "Its bytes are not those that its name stands for.", doOriginal)
	case refused != nil:
		a.damage(at, fmt.Sprintf("Its bytes are those of its name, but it is not a photograph: %s.", refused.What), doAsk)
	}
	switch {
	case p == nil:
		a.remark(at, "No entry here names this original.", doNothing)
	case p.withdrawn:
		a.damage(at, "It was withdrawn, and it is still here.", doErase)
	}
	return nil
}

// inspect returns the hash of an original and why it is not a whole picture.
func (a *audit) inspect(ctx context.Context, ref media.Ref) (media.Ref, error) {
	f, size, err := a.Originals.Open(ctx, ref)
	if err != nil {
		return media.Ref{}, err
	}
	defer f.Close()
	a.report.Checked.Originals++
	a.report.Checked.OriginalBytes += size
	hash := sha256.New()
	all := io.TeeReader(f, hash)
	_, wrong := media.Inspect(ctx, all, a.Limits)
	// A refused picture is read no further than the refusal; its hash is of all.
	if _, err := io.Copy(io.Discard, all); err != nil {
		return media.Ref{}, fmt.Errorf("read original: %w", err)
	}
	return media.Ref(hash.Sum(nil)), wrong
}

// missing reports an original that an entry names and that is not here. A
// tablet lets go of its own after the hub has confirmed them; a hub lets go of none.
func (a *audit) missing(at Where, p *photo) {
	switch {
	case p == nil:
		// It was listed a moment ago and no entry names it.
	case p.confirmed && a.owns(a.Hub):
		a.damage(at, "The hub had this original, and it is missing.", doOriginal)
	case p.own && !p.confirmed:
		a.damage(at, "An entry of this machine names the original, and it is missing.", doOriginal)
	case p.own:
		a.remark(at, "It is not here any more; the hub has confirmed that it has it.", doNothing)
	default:
		a.remark(at, "It has not come here.", doNothing)
	}
}
