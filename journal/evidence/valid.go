package evidence

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
)

// maxGrown caps a consistency proof: two hashes a level are more than any has.
const maxGrown = 2 * journal.MaxProof

// valid says what of a dossier cannot be, whatever the files beside it are.
func (d *Dossier) valid() error {
	for _, check := range []func() error{d.validHead, d.validLogs, d.validEntries, d.validSeals, d.validCited, d.validPhotos} {
		if err := check(); err != nil {
			return fmt.Errorf("%w: %w", ErrDossier, err)
		}
	}
	return nil
}

func (d *Dossier) validHead() error {
	switch {
	case d.Form != Form || d.Edition != Edition:
		return fmt.Errorf("it is %q, edition %d", d.Form, d.Edition)
	case d.Shop == "" || d.Hub == "":
		return fmt.Errorf("the shop or its hub is missing")
	case len(d.About.Jobs) == 0:
		return fmt.Errorf("it is about no job")
	case d.About.Vehicle != "" && !d.About.Claim.IsZero():
		return fmt.Errorf("it is about a vehicle and about a claim")
	case !slices.Contains([]PhotoChoice{Originals, Thumbnails, NoPhotos}, d.Asked.Photos):
		return fmt.Errorf("%q is not a choice of photographs", d.Asked.Photos)
	case len(d.Witnesses) > MaxWitnesses:
		return fmt.Errorf("it names more than %d witnesses", MaxWitnesses)
	case len(d.Cards) > MaxEntries || len(d.Left) > MaxEntries:
		return fmt.Errorf("it lists more than %d cards or things left out", MaxEntries)
	}
	return nil
}

func (d *Dossier) validLogs() error {
	if len(d.Logs) > MaxLogs {
		return fmt.Errorf("%d logs are more than %d", len(d.Logs), MaxLogs)
	}
	if !rises(d.Logs, func(a, b Log) int { return cmp.Compare(a.Device, b.Device) }) {
		return fmt.Errorf("a log stands twice, or the logs are not sorted")
	}
	for _, l := range d.Logs {
		switch {
		case l.Device == "" || len(l.Keys) == 0 || len(l.Keys) > MaxCheckpoints:
			return fmt.Errorf("the log %q has no device or no key", l.Device)
		case len(l.States) > MaxCheckpoints:
			return fmt.Errorf("%w: %d states of the log %s, of at most %d", ErrTooMuch, len(l.States), l.Device, MaxCheckpoints)
		case len(l.States) == 0:
			return fmt.Errorf("the log %s has no state", l.Device)
		case !rises(l.States, func(a, b State) int { return cmp.Compare(a.Size, b.Size) }):
			return fmt.Errorf("the states of the log %s do not rise", l.Device)
		}
		for i, s := range l.States {
			if s.Stamped && l.Device != d.Hub {
				return fmt.Errorf("the state of %d of the log %s has a timestamp, and is not the hub’s", s.Size, l.Device)
			}
			if s.Size < 1 || s.Size > journal.MaxLog || len(s.Grown) > maxGrown || i == 0 && len(s.Grown) > 0 {
				return fmt.Errorf("the state of %d of the log %s cannot be", s.Size, l.Device)
			}
		}
	}
	if d.log(d.Hub) == nil {
		return fmt.Errorf("the hub’s log is not among the logs")
	}
	return nil
}

func (d *Dossier) validEntries() error {
	if len(d.Entries) > MaxEntries {
		return fmt.Errorf("%d entries are more than %d", len(d.Entries), MaxEntries)
	}
	if !rises(d.Entries, func(a, b Item) int { return a.At.Compare(b.At) }) {
		return fmt.Errorf("an entry stands twice, or the entries are not sorted")
	}
	for _, e := range d.Entries {
		if e.ID.IsZero() || e.At.Device == "" || !slices.Contains([]Why{ForJob, ForRun, ForRegister, ForRoute, ForThing, ForCard, ForClaim, ForOrder}, e.Why) {
			return fmt.Errorf("the entry %s has no id, or is here for %q", e.At, e.Why)
		}
		if d.log(e.At.Device) == nil {
			return fmt.Errorf("the log of the entry %s is not among the logs", e.At)
		}
	}
	return nil
}

func (d *Dossier) validSeals() error {
	if len(d.Seals) > MaxEntries {
		return fmt.Errorf("%d seals are more than %d", len(d.Seals), MaxEntries)
	}
	covered := 0
	for _, s := range d.Seals {
		if covered += len(s.Covers); covered > MaxEntries {
			return fmt.Errorf("%w: the seals cover more than %d entries", ErrTooMuch, MaxEntries)
		}
		if s.Job == "" || s.At.Device == "" {
			return fmt.Errorf("a seal is of no job or at no place")
		}
	}
	return nil
}

func (d *Dossier) validCited() error {
	if len(d.Cited) > MaxCited {
		return fmt.Errorf("%w: %d cited states, of at most %d", ErrTooMuch, len(d.Cited), MaxCited)
	}
	for _, c := range d.Cited {
		if d.log(c.Device) == nil || c.Size < 1 || c.Size > journal.MaxLog || len(c.Grown) > maxGrown {
			return fmt.Errorf("the cited state of %d of the log %q cannot be", c.Size, c.Device)
		}
	}
	if !rises(d.Cited, func(a, b Cited) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Size, b.Size))
	}) {
		return fmt.Errorf("a cited state stands twice, or they are not sorted")
	}
	return nil
}

func (d *Dossier) validPhotos() error {
	if len(d.Photos) > MaxPhotos {
		return fmt.Errorf("%w: %d photographs, of at most %d", ErrTooMuch, len(d.Photos), MaxPhotos)
	}
	for _, p := range d.Photos {
		here := p.Original || !p.Copy.IsZero()
		switch {
		case p.Ref.IsZero() || p.Thumb.IsZero() || len(p.Cited) == 0 || len(p.Cited) > MaxEntries:
			return fmt.Errorf("the photograph %s has no thumbnail, or nothing cites it", p.Ref)
		case p.Original && !p.Copy.IsZero():
			return fmt.Errorf("of the photograph %s both original and copy are here", p.Ref)
		case here && p.Ext != JPG && p.Ext != PNG:
			return fmt.Errorf("the photograph %s ends with %q", p.Ref, p.Ext)
		case here && p.Missing != "":
			return fmt.Errorf("the photograph %s is here and is missing", p.Ref)
		}
	}
	return nil
}

// log returns a log by its device, or nil.
func (d *Dossier) log(device journal.DeviceID) *Log {
	i, ok := slices.BinarySearchFunc(d.Logs, device, func(l Log, to journal.DeviceID) int { return cmp.Compare(l.Device, to) })
	if !ok {
		return nil
	}
	return &d.Logs[i]
}

// rises reports whether each is greater than the one before it.
func rises[T any](list []T, compare func(a, b T) int) bool {
	for i := 1; i < len(list); i++ {
		if compare(list[i-1], list[i]) >= 0 {
			return false
		}
	}
	return true
}
