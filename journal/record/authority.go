package record

import (
	"bytes"
	"slices"

	"fettlebook/journal"
)

// authority is whose word counts in the book. Where nobody said which device
// is the hub, it is the one whose log begins with the shop's founding.
func (b *Book) authority() journal.Authority {
	by := b.by
	if by.Hub != "" {
		return by
	}
	var founding *held
	for _, h := range b.register {
		if _, ok := h.payload.(*journal.Shop); ok && h.at.Index == 0 && !h.strays(h.at) &&
			(founding == nil || bytes.Compare(h.entry.ID[:], founding.entry.ID[:]) < 0) {
			founding = h
		}
	}
	if founding != nil {
		by.Hub = founding.at.Device
	}
	return by
}

// void is why the entry counts for nothing where it lies, or "". Whether a
// quote is proven is not known here.
func (h *held) void(by journal.Authority) journal.Void {
	if h.entry == nil {
		return "" // it says nothing
	}
	if v := by.Voids(h.wrote(), h.at.Device, h.falls); v != "" {
		return v
	}
	if _, quotes := h.payload.(*journal.TakenOver); quotes {
		return journal.NotQuotable // or it would be read as what it quotes
	}
	return ""
}

// weigh notes on the line whether its entry counts where it lies, and what its
// writer may correct: what is quoted never has the hub's authority.
func (h *held) weigh(l *Line, by journal.Authority, v journal.Void) {
	l.hub, l.guarded = by.Hub != "" && h.at.Device == by.Hub && h.quote == nil, h.wrote() != nil && h.wrote().Type.Kind.Writer() == journal.HubOnly
	if v != "" {
		l.annul(v)
	}
}

func (l *Line) annul(v journal.Void) {
	l.void = true
	l.flag(Flag(v))
}

// Counts reports whether the entry counts for anything, struck or not: it lies
// where it may be said, and waits for nothing.
func (l *Line) Counts() bool { return !l.void && l.Waits == nil }

// corrections returns the corrections that may act: one of what only the hub
// may write takes the hub's authority, and so does a correction of that. What
// is left over is annulled.
func corrections(lines []Line, by ids) []*Line {
	var list []*Line
	for i := range lines {
		if c, ok := lines[i].Payload.(*journal.Correction); ok && lines[i].Counts() {
			lines[i].Corrects = c.Of
			list = append(list, &lines[i])
		}
	}
	for more := true; more; {
		more = false
		for _, c := range list {
			if !c.guarded && slices.ContainsFunc(slices.Collect(by.named(c.Corrects)), (*Line).onlyHubs) {
				c.guarded, more = true, true
			}
		}
	}
	return slices.DeleteFunc(list, func(c *Line) bool {
		of := slices.Collect(by.named(c.Corrects))
		if len(of) == 0 || slices.ContainsFunc(of, c.mayCorrect) {
			return false
		}
		c.annul(journal.NoAuthority)
		c.Corrects = journal.EntryID{}
		return true
	})
}

// onlyHubs reports whether only the hub may say so; what counts for nothing takes
// no authority.
func (l *Line) onlyHubs() bool { return l.guarded && !l.void }

// mayCorrect reports whether a correction has the authority that its target
// needs.
func (l *Line) mayCorrect(target *Line) bool { return l.hub || !target.guarded }
