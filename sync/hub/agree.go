package hub

import (
	"bytes"
	"context"
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"
)

// notAgreed is why nothing is taken of a tablet whose person did not agree to
// the keys with which the hub goes on.
const notAgreed = "nobody agreed at this tablet to the hub’s new keys; see which keys the desk shows, and agree there with `fettlebook tablet agree`"

// hearAgreed takes in what a greeting says of the hub's new keys: a signature
// of the tablet's log key over them. The entry that says so may lie behind
// thousands that are still to come.
func (h *Hub) hearAgreed(device journal.DeviceID, signed []byte) {
	if len(signed) == 0 {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if d := h.reg.devices[device]; d != nil && proof.VerifySign(d.LogKey, segment.AgreePurpose, h.reg.asked[:], signed) {
		h.agreed[device] = true
	}
}

// checkAgreed refuses what a tablet brings that was there before the hub went
// on without its old keys, until its person agreed.
func (h *Hub) checkAgreed(ctx context.Context, sender journal.DeviceID) error {
	h.mu.Lock()
	err := h.readRegister(ctx)
	keys, must := h.reg.asked, h.reg.asks[sender] && !h.agreed[sender]
	h.mu.Unlock()
	if err != nil || !must {
		return err
	}
	says, err := h.saysAgreed(ctx, sender, keys)
	if err != nil {
		return err
	}
	if !says {
		return &unwanted{reason: notAgreed}
	}
	h.mu.Lock()
	h.agreed[sender] = true
	h.mu.Unlock()
	return nil
}

// saysAgreed looks for the device's word in its log as it lies here.
func (h *Hub) saysAgreed(ctx context.Context, device journal.DeviceID, keys journal.Digest) (bool, error) {
	for logged, err := range h.cfg.Log.Entries(ctx, device, 0) {
		if err != nil {
			return false, fmt.Errorf("look whether %s agreed: %w", device, err)
		}
		if !bytes.Contains(logged.Bytes, []byte(journal.KeysAgreed)) {
			continue
		}
		e, err := journal.Decode(logged.Bytes)
		if err != nil || h.cfg.authority().Voids(e, device, logged.Falls) != "" {
			continue
		}
		payload, err := e.Payload()
		if p, ok := payload.(*journal.KeyAgreement); err == nil && ok && p.Device == device && p.New == keys {
			return true, nil
		}
	}
	return false, nil
}
