package evidence_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/journaltest"
)

func finding(f evidence.Findings, q evidence.Question, code evidence.Code) *evidence.Finding {
	a := f.Answer(q)
	if a == nil {
		return nil
	}
	i := slices.IndexFunc(a.Findings, func(x evidence.Finding) bool { return x.Code == code })
	if i < 0 {
		return nil
	}
	return &a.Findings[i]
}

func later(h *evidencetest.History) {
	h.Say(evidencetest.Bench, journal.About(evidencetest.Job, "", ""), &journal.Contact{How: journal.ByTelephone, About: "wheel nuts", Reached: true, Answer: "all well"}, evidence.ForJob)
}

// A paper from before a change of the hub's keys is good, and so is one from
// after it; each says so.
func TestPapersOverAChangeOfKeys(t *testing.T) {
	before := evidencetest.New(t, "sealed before", 5)
	old := before.Receipt()
	before.ChangeKeys(journal.KeysStolen, nil)
	later(before)
	after := evidencetest.NewChanged(t, "sealed after", 5, journal.KeysLost)
	twice := evidencetest.NewChanged(t, "between two", 5, journal.KeysRenewed)
	between := twice.Receipt()
	twice.ChangeKeys(journal.KeysStolen, nil)
	later(twice)
	for name, test := range map[string]struct {
		h        *evidencetest.History
		receipt  evidence.Receipt
		says     []string
		receipts string
	}{
		"sealed before": {before, old, []string{"because the old ones were stolen"}, "had before the change"},
		"sealed after":  {after, after.Receipt(), []string{"because the old ones were lost"}, "had after the change"},
		"between two":   {twice, between, []string{"were changed on"}, "and before the change"},
	} {
		f := verify(t, test.h.Dossier(evidencetest.Options{}).Pack(), &test.receipt)
		if f.Verdict != evidence.Yes {
			t.Errorf("%s: %s", name, said(f))
			continue
		}
		if x := finding(f, evidence.Countersigned, evidence.KeysChanged); x == nil || !strings.Contains(x.Says, test.says[0]) {
			t.Errorf("%s: the change is told as %+v", name, x)
		}
		if x := finding(f, evidence.Receipted, evidence.ReceiptKeys); x == nil || !strings.Contains(x.Says, test.receipts) {
			t.Errorf("%s: of the receipt is told %+v", name, x)
		}
		// That nobody knows who changed them is told where no receipt states the newest keys.
		if x := finding(f, evidence.Beyond, evidence.KeysUnknown); (x == nil) != (name == "sealed after") {
			t.Errorf("%s: of who changed them is told %+v", name, x)
		}
	}
}

// What the old keys sign after the change is not good, and the answer says why.
func TestTheOldKeysAreNotGood(t *testing.T) {
	for name, test := range map[string]struct {
		make func() (*evidencetest.History, evidence.Receipt)
		q    evidence.Question
		code evidence.Code
		says string
	}{
		"a tablet's log": {func() (*evidencetest.History, evidence.Receipt) {
			h := evidencetest.New(t, "a tablet's log", 4)
			receipt := h.Receipt()
			h.ChangeKeys(journal.KeysStolen, nil)
			h.Thief()
			later(h)
			return h, receipt
		}, evidence.Countersigned, evidence.KeysReplaced, "because the old ones were stolen"},
		"the hub's log": {func() (*evidencetest.History, evidence.Receipt) {
			h := evidencetest.New(t, "the hub's log", 4)
			receipt := h.Receipt()
			h.ChangeKeys(journal.KeysStolen, nil)
			h.Thief()
			h.Say(evidencetest.Hub, journal.About(evidencetest.Job, "", ""), journaltest.Sample(journal.NoteMade).Data, evidence.ForJob)
			return h, receipt
		}, evidence.Countersigned, evidence.KeysReplaced, "does not count"},
		"a receipt from after the change": {func() (*evidencetest.History, evidence.Receipt) {
			h := evidencetest.NewChanged(t, "a thief's receipt", 4, journal.KeysStolen)
			receipt := h.Receipt()
			h.Thief()
			receipt.Hub = h.OldFingerprint()
			return h, receipt
		}, evidence.Receipted, evidence.ReceiptReplaced, "had replaced before"},
		"a receipt from before with the new keys": {func() (*evidencetest.History, evidence.Receipt) {
			h := evidencetest.New(t, "too early", 4)
			receipt := h.Receipt()
			h.ChangeKeys(journal.KeysRenewed, nil)
			receipt.Hub = h.Fingerprint()
			return h, receipt
		}, evidence.Receipted, evidence.ReceiptReplaced, "did not have yet"},
		"a receipt with the keys of the shop, a file of the thief": {func() (*evidencetest.History, evidence.Receipt) {
			honest := evidencetest.NewChanged(t, "a thief's file", 4, journal.KeysStolen)
			return evidencetest.New(t, "a thief's file", 4), honest.Receipt()
		}, evidence.Receipted, evidence.ReceiptHub, "other keys"},
		"without the old key's signature": {func() (*evidencetest.History, evidence.Receipt) {
			h := evidencetest.New(t, "not signed", 4)
			receipt := h.Receipt()
			h.ChangeKeys(journal.KeysStolen, func(p *journal.KeyChange) { p.OldSigned = p.LogSigned })
			return h, receipt
		}, evidence.Countersigned, evidence.KeysNotSigned, "not signed by the keys before it"},
	} {
		h, receipt := test.make()
		f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), &receipt)
		x := finding(f, test.q, test.code)
		if f.Verdict != evidence.No || x == nil || x.Verdict != evidence.No || !strings.Contains(x.Says, test.says) {
			t.Errorf("%s: %s", name, said(f))
		}
	}
}

// Of keys that the old ones did not sign it is told which tablets agreed; it is
// not known whether they are the shop's where one did not, and nobody agrees for
// another.
func TestKeysThatTabletsAgreedTo(t *testing.T) {
	for name, test := range map[string]struct {
		agree   []journal.DeviceID
		more    func(h *evidencetest.History)
		verdict evidence.Verdict
		says    string
	}{
		"all":                 {[]journal.DeviceID{evidencetest.Bench, evidencetest.Rack}, nil, evidence.Yes, "agreed to at 2 of 2 tablets that the shop had then (t3fz8c1n and t9aa0b2c)"},
		"one":                 {[]journal.DeviceID{evidencetest.Bench}, nil, evidence.Unknown, "agreed to at 1 of 2 tablets that the shop had then (t3fz8c1n), and not at t9aa0b2c"},
		"none":                {nil, nil, evidence.Unknown, "agreed to at 0 of 2 tablets"},
		"one, twice":          {[]journal.DeviceID{evidencetest.Bench, evidencetest.Bench}, nil, evidence.Unknown, "agreed to at 1 of 2"},
		"the other way round": {[]journal.DeviceID{evidencetest.Rack, evidencetest.Bench}, nil, evidence.Yes, "agreed to at 2 of 2"},
		"the hub for both": {nil, func(h *evidencetest.History) {
			h.Agreement(evidencetest.Hub, evidencetest.Bench)
			h.Agreement(evidencetest.Hub, evidencetest.Rack)
		}, evidence.Unknown, "agreed to at 0 of 2 tablets"},
		"one for the other": {[]journal.DeviceID{evidencetest.Bench}, func(h *evidencetest.History) { h.Agreement(evidencetest.Bench, evidencetest.Rack) }, evidence.Unknown, "agreed to at 1 of 2"},
		"one in the other's name": {[]journal.DeviceID{evidencetest.Bench}, func(h *evidencetest.History) {
			h.Agreement(evidencetest.Bench, evidencetest.Bench, func(p *journal.KeyAgreement) { p.Device = evidencetest.Rack })
		}, evidence.Unknown, "agreed to at 1 of 2"},
		"to other keys": {nil, func(h *evidencetest.History) {
			h.Agreement(evidencetest.Bench, evidencetest.Bench, func(p *journal.KeyAgreement) { p.New = journal.Digest{9} })
		}, evidence.Unknown, "agreed to at 0 of 2"},
		"after other keys": {nil, func(h *evidencetest.History) {
			h.Agreement(evidencetest.Bench, evidencetest.Bench, func(p *journal.KeyAgreement) { p.Old = journal.Digest{9} })
		}, evidence.Unknown, "agreed to at 0 of 2"},
		"to the keys after it": {nil, func(h *evidencetest.History) {
			h.ChangeKeys(journal.KeysRenewed, nil)
			h.Agreement(evidencetest.Bench, evidencetest.Bench)
		}, evidence.Unknown, "agreed to at 0 of 2 tablets"},
	} {
		h := evidencetest.New(t, "agreed "+name, 3)
		receipt := h.Receipt()
		h.FoundKeys(test.agree...)
		if test.more != nil {
			test.more(h)
		}
		later(h)
		f := verify(t, h.Dossier(evidencetest.Options{}).Pack(), &receipt)
		x := finding(f, evidence.Countersigned, evidence.KeysFounded)
		if x == nil || x.Verdict != test.verdict || !strings.Contains(x.Says, test.says) || f.Verdict == evidence.No {
			t.Errorf("%s: %s", name, said(f))
		}
	}
}
