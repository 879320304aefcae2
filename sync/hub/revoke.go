package hub

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
)

// A revocation is the one word that the hub acts on before its stream has it: who stole
// a tablet must not gain by anything that he can hold up, be it the stream or, by claiming
// to hold more of the hub's log, the log itself. So he is cut off, then it is written and
// published.

// markShut names the devices that were cut off and are not yet revoked in the register.
const markShut = "cut off"

// CutOff is why a revocation could not be written. The tablet is cut off all the same,
// and stays so.
type CutOff struct{ Err error }

func (e *CutOff) Error() string {
	return fmt.Sprintf("the tablet is cut off from now on, but its revocation is not in the register yet; write it again in a few minutes: %v", e.Err)
}

func (e *CutOff) Unwrap() error { return e.Err }

// shutOut cuts off whom drafts revoke, and returns with how many entries their logs
// end. What was asked and not answered yet is dropped. mu is held.
func (h *Hub) shutOut(ctx context.Context, drafts []journal.Draft) (ends []journal.Draft, err error) {
	for _, d := range drafts {
		p, ok := d.Data.(*journal.Revocation)
		if !ok || h.reg.devices[p.Device] == nil {
			continue
		}
		h.out[p.Device] = true
		delete(h.loss.claims, p.Device)
		if err := h.shut(ctx, p.Device); err != nil {
			return nil, err
		}
		h.keepShut(ctx)
		if _, closed := h.reg.closings.Counts(p.Device); closed {
			continue
		}
		head, err := h.head(ctx, p.Device)
		if err != nil {
			return nil, err
		}
		ends = append(ends, h.about(p.Device, &journal.LogClosing{Device: p.Device, Counts: head.Size}))
	}
	return ends, nil
}

// sayRevoked tells whoever reads the program's own log whom drafts revoked that are written.
func (h *Hub) sayRevoked(ctx context.Context, drafts []journal.Draft) {
	for _, d := range drafts {
		if p, ok := d.Data.(*journal.Revocation); ok {
			h.tally.revocations.Add(1)
			h.cfg.Logger.InfoContext(ctx, "revocation", "device", p.Device, "person", d.By)
		}
	}
}

// letBackIn undoes what shutOut did for drafts that say nothing. mu is held.
func (h *Hub) letBackIn(ctx context.Context, drafts []journal.Draft) error {
	for _, d := range drafts {
		if p, ok := d.Data.(*journal.Revocation); ok && h.reg.devices[p.Device] != nil && !h.reg.devices[p.Device].revoked {
			delete(h.out, p.Device)
		}
	}
	h.keepShut(ctx)
	return h.admit(ctx)
}

// keepShut notes who was cut off, for the next start. Who is revoked in the register
// need not be noted. mu is held.
func (h *Hub) keepShut(ctx context.Context) {
	var names []string
	for device := range h.out {
		if d := h.reg.devices[device]; d == nil || !d.revoked {
			names = append(names, string(device))
		}
	}
	slices.Sort(names)
	if err := h.cfg.Notes.SetMark(ctx, markShut, strings.Join(names, " ")); err != nil {
		h.cfg.Logger.ErrorContext(ctx, "keep who is cut off", "error", err) // who is, is
	}
}

// findShut reads who was cut off when the hub last ran. mu is held.
func (h *Hub) findShut(ctx context.Context) error {
	text, err := h.cfg.Notes.Mark(ctx, markShut)
	if err != nil {
		return err
	}
	for _, name := range strings.Fields(text) {
		h.out[journal.DeviceID(name)] = true
	}
	h.rests, err = restsOf(ctx, h.cfg.Notes)
	return err
}

var errRevoked = errors.New("this tablet was revoked, and no more of it is taken in; start again with an empty data folder and a new invitation")

// admitted reports whether the broker lets a device in now.
func (h *Hub) admitted(device journal.DeviceID) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.ContainsFunc(h.door, func(c Client) bool { return c.Device == device })
}

// ended refuses what would make the log of a revoked device longer than it was then.
func (h *Hub) ended(s journal.Segment) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	d := h.reg.devices[s.Device]
	if !h.out[s.Device] && (d == nil || !d.revoked) {
		return nil
	}
	if counts, closed := h.reg.closings.Counts(s.Device); closed && s.End() <= counts {
		return nil
	}
	return &unwanted{reason: errRevoked.Error()}
}

// Kept returns whom to let in at a start, of those who were let in when the hub last
// ran: nobody whom the register revokes, as far as it is here, nobody who is asked to wait,
// and each by the key that it names. Who is not on it may hold the only copy of the entry that let him in.
func Kept(ctx context.Context, by journal.Authority, log journal.Reader, notes marks, list []Client, now time.Time) ([]Client, error) {
	r := newRegister(by)
	if err := r.read(log.Entries(ctx, by.Hub, 0)); err != nil && !errors.Is(err, journal.ErrNoLog) {
		return nil, fmt.Errorf("read register: %w", err)
	}
	text, err := notes.Mark(ctx, markShut)
	if err != nil {
		return nil, err
	}
	shut := strings.Fields(text)
	rests, err := restsOf(ctx, notes)
	if err != nil {
		return nil, err
	}
	var kept []Client
	for _, c := range list {
		switch d := r.devices[c.Device]; {
		case slices.Contains(shut, string(c.Device)), d != nil && d.revoked, now.Before(rests[c.Device].Until):
		case d != nil:
			kept = append(kept, Client{Device: c.Device, Key: d.ConnectKey})
		default:
			kept = append(kept, c)
		}
	}
	return kept, nil
}
