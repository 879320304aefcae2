package evidencetest

import (
	"time"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
)

// Anchor has the hub anchor all logs in its own, as it does before others
// witness that, and returns the state to be witnessed.
func (h *History) Anchor() []byte {
	h.t.Helper()
	for _, d := range []journal.DeviceID{Bench, Rack} {
		h.countersign(d)
	}
	h.keep(h.write(Hub, journal.Of("device", string(Hub)), &journal.LogNote{Device: Hub, From: 1}), evidence.ForOrder)
	h.countersign(Hub)
	return h.newest()
}

func (h *History) newest() []byte {
	l := h.logs[Hub]
	return l.noted[l.sizes[len(l.sizes)-1]]
}

// Cosign has a witness sign the newest state of the hub's log, and returns the
// state with its line.
func (h *History) Cosign(witness proof.Key, at time.Time) []byte {
	h.t.Helper()
	l := h.logs[Hub]
	key, err := proof.Verifier(l.key.Verifier())
	if err != nil {
		h.t.Fatal(err)
	}
	signed, err := proof.Countersign(proof.Checkpoint{Note: h.newest()}, key, witness.Cosigner(func() time.Time { return at }))
	if err != nil {
		h.t.Fatal(err)
	}
	l.noted[l.sizes[len(l.sizes)-1]] = signed
	return signed
}

// Cosigner returns the hub's own countersigning key.
func (h *History) Cosigner() proof.Key { return h.cosign }

// Stamp puts an authority's answer over the newest state of the hub's log into
// the dossier.
func (d *Dossier) Stamp(answer []byte) {
	for i, l := range d.About.Logs {
		if l.Device == Hub {
			s := &d.About.Logs[i].States[len(l.States)-1]
			s.Stamped = true
			d.Files[evidence.StampPath(Hub, s.Size)] = answer
		}
	}
}
