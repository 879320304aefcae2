package evidence_test

import (
	"bytes"
	"crypto/rand"
	"crypto/x509"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/witnessed/witnessedtest"
)

// witnessedDossier is a dossier whose hub's log others witnessed: the one key's
// owner, and OpenSSL as an authority.
func witnessedDossier(t *testing.T, seed string) (d *evidencetest.Dossier, h *evidencetest.History, key proof.Key, tsa *witnessedtest.Authority) {
	t.Helper()
	tsa = witnessedtest.New(t, witnessedtest.Options{})
	h = evidencetest.New(t, seed, 6)
	key, err := proof.NewKey(rand.Reader, proof.CosignerName("b3tterq2"))
	if err != nil {
		t.Fatal(err)
	}
	h.Anchor()
	state := h.Cosign(key, time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC))
	d = h.Dossier(evidencetest.Options{})
	d.About.Witnesses = []string{key.Verifier()}
	d.Stamp(stamp(t, tsa, state))
	return d, h, key, tsa
}

func stamp(t *testing.T, tsa *witnessedtest.Authority, state []byte) []byte {
	t.Helper()
	q, err := witnessed.AskStamp(state, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tsa.Answer(q)
}

// What others said covers the tablets' entries too, by the anchor in the hub's
// log; and OpenSSL takes the files of the dossier as they lie there.
func TestWitnessed(t *testing.T) {
	d, h, _, tsa := witnessedDossier(t, "outside word")
	receipt := h.Receipt()
	f := verify(t, d.Pack(), &receipt)
	a := f.Answer(evidence.Witnessed)
	if f.Verdict != evidence.Yes || a == nil || a.Verdict != evidence.Yes {
		t.Fatal(said(f))
	}
	for _, want := range []string{"every entry existed by the word of others", "by 1 June 2026 08:00:00 UTC"} {
		if !strings.Contains(a.Says, want) {
			t.Errorf("%q does not say %q", a.Says, want)
		}
	}
	if len(a.Findings) != 2 || a.Findings[0].Code != evidence.Stamped || a.Findings[1].Code != evidence.Cosigned || !strings.Contains(a.Findings[0].Says, witnessedtest.Name) {
		t.Error(said(f))
	}
	size := h.Size(evidencetest.Hub)
	if err := tsa.Verifies(d.Files[evidence.StampPath(evidencetest.Hub, size)], d.Files[evidence.CheckpointPath(evidencetest.Hub, size)]); err != nil {
		t.Error(err)
	}

	// Without the anchor what tablets wrote after the hub's last entry is not covered.
	last := len(d.About.Entries) - 1
	at := slices.IndexFunc(d.About.Entries, func(e evidence.Item) bool { return e.Why == evidence.ForOrder })
	delete(d.Files, evidence.EntryPath(d.About.Entries[at].At))
	delete(d.Files, evidence.ProofPath(d.About.Entries[at].At))
	d.About.Entries = slices.Delete(d.About.Entries, at, at+1)
	f = verify(t, d.Pack(), &receipt)
	if a := f.Answer(evidence.Witnessed); strings.Contains(a.Says, "every entry") || a.Verdict != evidence.Yes {
		t.Errorf("without the anchor, of %d entries: %s", last, a.Says)
	}
}

// A timestamp counts under the certificates that whoever checks it trusts, and
// under no others; without any it counts, and it is said that nothing was asked.
func TestWitnessedByWhomOneTrusts(t *testing.T) {
	d, h, _, tsa := witnessedDossier(t, "trusted")
	d.About.Witnesses = nil
	receipt := h.Receipt()
	packed := d.Pack()
	stranger := witnessedtest.New(t, witnessedtest.Options{})
	for _, c := range []struct {
		name    string
		roots   []*x509.Certificate
		verdict evidence.Verdict
		code    evidence.Code
		says    string
	}{
		{"nobody", nil, evidence.Yes, evidence.Stamped, "was not checked"},
		{"its root", []*x509.Certificate{stranger.Root, tsa.Root}, evidence.Yes, evidence.Stamped, "issued under Clock House Root"},
		{"another root", []*x509.Certificate{stranger.Root}, evidence.Unknown, evidence.StampOther, "does not count"},
	} {
		f := verifyBy(t, packed, evidence.Trusted{Receipt: &receipt, Authorities: c.roots})
		a := f.Answer(evidence.Witnessed)
		if a.Verdict != c.verdict || len(a.Findings) != 1 || a.Findings[0].Code != c.code || !strings.Contains(a.Findings[0].Says, c.says) {
			t.Errorf("%s: %s", c.name, said(f))
		}
		if covered := strings.Contains(a.Says, "every entry existed"); covered != (c.verdict == evidence.Yes) {
			t.Errorf("%s: %s", c.name, a.Says)
		}
		if b := f.Answer(evidence.Beyond); strings.Contains(said(f), "revoked: nobody was asked") != (c.name != "nobody") {
			t.Errorf("%s: %v", c.name, b.Findings)
		}
	}
	plain := verifyBy(t, h.Dossier(evidencetest.Options{}).Pack(), evidence.Trusted{Receipt: &receipt, Authorities: []*x509.Certificate{tsa.Root}})
	if a := plain.Answer(evidence.Witnessed); a == nil || a.Verdict != evidence.Unknown || a.Findings[0].Code != evidence.StampAbsent {
		t.Errorf("without a timestamp: %s", said(plain))
	}
}

// Nobody is asked about what nobody was asked for.
func TestNotWitnessed(t *testing.T) {
	f := verify(t, evidencetest.New(t, "alone", 4).Dossier(evidencetest.Options{}).Pack(), nil)
	if f.Answer(evidence.Witnessed) != nil || strings.Contains(said(f), string(evidence.OutsideUnknown)) {
		t.Error(said(f))
	}
}

func TestWronglyWitnessed(t *testing.T) {
	path := func(h *evidencetest.History) string {
		return evidence.StampPath(evidencetest.Hub, h.Size(evidencetest.Hub))
	}
	for _, c := range []struct {
		name string
		do   func(d *evidencetest.Dossier, h *evidencetest.History, tsa *witnessedtest.Authority)
		want evidence.Code
	}{
		{"a timestamp of something else", func(d *evidencetest.Dossier, h *evidencetest.History, tsa *witnessedtest.Authority) {
			d.Files[path(h)] = stamp(t, tsa, []byte("something else"))
		}, evidence.StampWrong},
		{"a changed timestamp", func(d *evidencetest.Dossier, h *evidencetest.History, _ *witnessedtest.Authority) {
			raw := bytes.Clone(d.Files[path(h)])
			raw[len(raw)-10] ^= 1
			d.Files[path(h)] = raw
		}, evidence.StampWrong},
		{"no timestamp", func(d *evidencetest.Dossier, h *evidencetest.History, _ *witnessedtest.Authority) {
			delete(d.Files, path(h))
		}, evidence.StampWrong},
		{"a witness that signed nothing", func(d *evidencetest.Dossier, _ *evidencetest.History, _ *witnessedtest.Authority) {
			other, err := proof.NewKey(rand.Reader, "other.example")
			if err != nil {
				t.Fatal(err)
			}
			d.About.Witnesses = append(d.About.Witnesses, other.Verifier())
		}, evidence.WitnessGone},
		{"another's signature in the witness's name", func(d *evidencetest.Dossier, _ *evidencetest.History, _ *witnessedtest.Authority) {
			other, err := proof.NewKey(rand.Reader, proof.CosignerName("b3tterq2"))
			if err != nil {
				t.Fatal(err)
			}
			d.About.Witnesses = []string{other.Verifier()}
		}, evidence.WitnessGone},
		{"the hub as its own witness", func(d *evidencetest.Dossier, h *evidencetest.History, _ *witnessedtest.Authority) {
			d.About.Witnesses = append(d.About.Witnesses, h.Cosigner().Verifier())
		}, evidence.WitnessWrong},
		{"a key that is none", func(d *evidencetest.Dossier, _ *evidencetest.History, _ *witnessedtest.Authority) {
			d.About.Witnesses = append(d.About.Witnesses, "no key")
		}, evidence.WitnessWrong},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, h, _, tsa := witnessedDossier(t, "wrong")
			c.do(d, h, tsa)
			f := verify(t, d.Pack(), nil)
			a := f.Answer(evidence.Witnessed)
			if a == nil || a.Verdict != evidence.No || !slices.ContainsFunc(a.Findings, func(x evidence.Finding) bool { return x.Code == c.want && x.Verdict == evidence.No }) {
				t.Error(said(f))
			}
		})
	}
	d, _, _, _ := witnessedDossier(t, "of a tablet")
	for i := range d.About.Logs {
		d.About.Logs[i].States[0].Stamped = true
	}
	if _, err := d.About.Encode(); err == nil {
		t.Error("a timestamp of a tablet’s log is taken")
	}
}
