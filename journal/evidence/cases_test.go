package evidence_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

// found returns the findings of a code.
func found(f evidence.Findings, code evidence.Code) (list []evidence.Finding) {
	for _, a := range f.Answers {
		for _, x := range a.Findings {
			if x.Code == code {
				list = append(list, x)
			}
		}
	}
	return list
}

// What cannot be found is not claimed to be so: an entry that was added after
// handover and is left out is missed by nobody, and the file says that.
func TestWhatNobodyCanKnow(t *testing.T) {
	h := evidencetest.New(t, "later", 4)
	d := h.Dossier(evidencetest.Options{})
	at := h.Items[len(h.Items)-1].At
	d.About.Entries = slices.DeleteFunc(d.About.Entries, func(i evidence.Item) bool { return i.At == at })
	delete(d.Files, evidence.EntryPath(at))
	delete(d.Files, evidence.ProofPath(at))
	receipt := h.Receipt()
	f := verify(t, d.Pack(), &receipt)
	if f.Verdict != evidence.Yes || len(found(f, evidence.LaterUnknown)) != 1 || len(found(f, evidence.AddedLater)) != 0 {
		t.Errorf("an entry after the seal was left out: %s", said(f))
	}
}

// An entry is not hidden among what was added later by saying that it is here
// for another reason.
func TestReasonHidesNothing(t *testing.T) {
	h := evidencetest.New(t, "why", 4)
	d := h.Dossier(evidencetest.Options{})
	at := h.Items[len(h.Items)-1].At
	for i := range d.About.Entries {
		d.About.Entries[i].Why = evidence.ForThing
	}
	if later := found(verify(t, d.Pack(), nil), evidence.AddedLater); len(later) != 1 || later[0].Entries[0] != at {
		t.Errorf("what was added later is %+v, want %s", later, at)
	}
}

func TestWithheldEntries(t *testing.T) {
	h := evidencetest.New(t, "withheld", 4)
	d := h.Dossier(evidencetest.Options{})
	c := &d.About.Seals[0].Covers[1]
	c.Leaf = leaf(d.Files[evidence.EntryPath(c.At)])
	at := c.At
	d.About.Entries = slices.DeleteFunc(d.About.Entries, func(i evidence.Item) bool { return i.At == at })
	d.About.Photos = slices.DeleteFunc(d.About.Photos, func(p evidence.Photo) bool {
		if !slices.Contains(p.Cited, at) {
			return false
		}
		delete(d.Files, evidence.OriginalPath(p.Ref, p.Ext))
		delete(d.Files, evidence.ThumbPath(p.Thumb))
		return true
	})
	delete(d.Files, evidence.EntryPath(at))
	delete(d.Files, evidence.ProofPath(at))
	f := verify(t, d.Pack(), nil)
	if a := f.Answer(evidence.Complete); a.Verdict != evidence.Unknown || len(a.Findings) != 1 || a.Findings[0].Code != evidence.Withheld || a.Findings[0].Entries[0] != at {
		t.Errorf("withheld: %s", said(f))
	}
	if f.Verdict == evidence.No {
		t.Errorf("a withheld entry is a contradiction: %s", said(f))
	}
}

// The register says how much of a log counts.
func TestClosedLogs(t *testing.T) {
	h := evidencetest.New(t, "closed", 6)
	closed := func(counts int64) evidence.Findings {
		h.Say(evidencetest.Hub, "device/"+journal.Subject(evidencetest.Rack), &journal.LogClosing{Device: evidencetest.Rack, Counts: counts}, evidence.ForRegister)
		return verify(t, h.Dossier(evidencetest.Options{}).Pack(), nil)
	}
	if f := closed(h.Size(evidencetest.Rack)); f.Verdict == evidence.No {
		t.Errorf("closed where it ends: %s", said(f))
	}
	if f := closed(1); len(found(f, evidence.NotCounted)) == 0 || f.Answer(evidence.Signed).Verdict != evidence.No {
		t.Errorf("closed after its first entry: %s", said(f))
	}
}

// What was taken over is proven by the key of the log from which it is quoted.
func TestQuotes(t *testing.T) {
	h := evidencetest.New(t, "quotes", 6)
	of := h.Covers[slices.IndexFunc(h.Covers, func(at evidence.At) bool { return at.Device == evidencetest.Rack })]
	quote := h.Quote(of)
	entry, err := quote.Quoted()
	if err != nil {
		t.Fatal(err)
	}
	h.Say(evidencetest.Bench, entry.Subject, quote, evidence.ForJob)
	if f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), nil); len(found(f, evidence.QuoteNotProven)) > 0 || f.Verdict == evidence.No {
		t.Errorf("an honest quote: %s", said(f))
	}
	forged := *quote
	forged.Index++
	at := h.Say(evidencetest.Bench, entry.Subject, &forged, evidence.ForJob)
	f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), nil)
	if bad := found(f, evidence.QuoteNotProven); len(bad) != 1 || bad[0].Verdict != evidence.No || bad[0].Entries[0] != at {
		t.Errorf("a forged quote: %s", said(f))
	}
}

// What counts for nothing in an honest shop is shown and is no contradiction.
func TestVoidEntries(t *testing.T) {
	h := evidencetest.New(t, "void", 4)
	at := h.Say(evidencetest.Bench, journal.About(evidencetest.Job, "", ""), &journal.Seal{Root: journal.Digest{1}, Entries: 3}, evidence.ForJob)
	f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), nil)
	if void := found(f, evidence.Voided); len(void) != 1 || void[0].Entries[0] != at || f.Verdict == evidence.No {
		t.Errorf("a seal that a tablet wrote: %s", said(f))
	}
	// And nobody takes it for the seal.
	d := h.Dossier(evidencetest.Options{})
	d.About.Seals[0].At = at
	if f := verify(t, d.Pack(), nil); len(found(f, evidence.SealGone)) != 1 {
		t.Errorf("a tablet's seal is taken for the hub’s: %s", said(f))
	}
}

// A file is about what its entries are about.
func TestAboutOthers(t *testing.T) {
	h := evidencetest.New(t, "about", 4)
	for name, c := range map[string]struct {
		change func(*evidence.About)
		other  int
	}{
		"its job":       {func(*evidence.About) {}, 0},
		"another job":   {func(a *evidence.About) { a.Jobs = append(a.Jobs, evidencetest.Other) }, 1},
		"its plate":     {func(a *evidence.About) { a.Vehicle = "fb204" }, 0},
		"another plate": {func(a *evidence.About) { a.Vehicle = "FB 205" }, 1},
		"a complaint":   {func(a *evidence.About) { a.Claim = h.Items[0].ID }, 1},
	} {
		d := h.Dossier(evidencetest.Options{})
		c.change(&d.About.About)
		if f := verify(t, d.Pack(), nil); len(found(f, evidence.AboutOther)) != c.other {
			t.Errorf("%s: %s", name, said(f))
		}
	}
}

// A receipt that states a state of the hub's log which is not here leaves that
// open, and nothing else.
func TestReceiptOfAnotherState(t *testing.T) {
	h := evidencetest.New(t, "state", 4)
	receipt := h.Receipt()
	receipt.Size += 1000
	f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), &receipt)
	if a := f.Answer(evidence.Receipted); a.Verdict != evidence.Unknown || len(a.Findings) != 1 || a.Findings[0].Code != evidence.ReceiptUnshown {
		t.Errorf("a state that is not here: %s", said(f))
	}
	if f.Verdict != evidence.Unknown {
		t.Errorf("the verdict is %s", f.Verdict)
	}
}

// What was added after handover stays so when the shop seals once more.
func TestSealedTwice(t *testing.T) {
	h := evidencetest.New(t, "twice", 4)
	later := h.Items[len(h.Items)-1].At
	again := h.Resealed()
	d := h.Dossier(evidencetest.Options{})
	d.About.Seals = []evidence.Seal{again, d.About.Seals[0]}
	receipt := h.Receipt()
	for name, given := range map[string]*evidence.Receipt{"no receipt": nil, "the receipt": &receipt} {
		f := verify(t, d.Pack(), given)
		added := found(f, evidence.AddedLater)
		if f.Verdict == evidence.No || len(added) != 2 || !slices.ContainsFunc(added, func(x evidence.Finding) bool { return x.Entries[0] == later }) {
			t.Errorf("%s: %s", name, said(f))
		}
	}
	// The second seal alone is not the one on the receipt.
	d.About.Seals = d.About.Seals[:1]
	if f := verify(t, d.Pack(), &receipt); len(found(f, evidence.ReceiptSeal)) != 1 {
		t.Errorf("the second seal passes for the first: %s", said(f))
	}
}

// A device whose clock was off is named, with what the hub's word allows.
func TestClockOff(t *testing.T) {
	for _, by := range []time.Duration{-26 * time.Hour, 26 * time.Hour, time.Minute} {
		h := evidencetest.New(t, "clock", 4)
		h.Clock(evidencetest.Bench, by)
		at := h.Say(evidencetest.Bench, journal.About(evidencetest.Job, "", ""), &journal.Remark{Evidence: journal.Evidence{Note: "late"}}, evidence.ForJob)
		f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), nil)
		off := found(f, evidence.ClockOff)
		if wrong := by.Abs() > time.Hour; f.Verdict == evidence.No || wrong != (len(off) == 1) || wrong && off[0].Entries[0] != at {
			t.Errorf("a clock that is off by %s: %s", by, said(f))
		}
	}
}

// What a copy without location shows is told by the thumbnail beside it, and the
// answer claims no more than what was compared. Without the thumbnail nothing is
// known.
func TestCopies(t *testing.T) {
	h := evidencetest.New(t, "copies", 5)
	d := h.Dossier(evidencetest.Options{Stripped: true})
	f := verify(t, d.Pack(), nil)
	if a := f.Answer(evidence.Pictured); a.Verdict != evidence.Yes || !strings.Contains(a.Says, "6 copies without location show what the thumbnails beside them show") || len(found(f, evidence.CopiesUnknown)) != 1 {
		t.Errorf("copies: %s", said(f))
	}
	for i := range d.About.Photos {
		p := &d.About.Photos[i]
		if !p.Copy.IsZero() {
			p.Thumbnail = false
			delete(d.Files, evidence.ThumbPath(p.Thumb))
		}
	}
	if f := verify(t, d.Pack(), nil); f.Answer(evidence.Pictured).Verdict != evidence.Unknown || len(found(f, evidence.CopyAlone)) == 0 {
		t.Errorf("copies without thumbnails: %s", said(f))
	}
}
