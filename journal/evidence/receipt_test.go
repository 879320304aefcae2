package evidence_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/evidence"
)

func receipt() evidence.Receipt {
	return evidence.Receipt{Shop: "k7m2q4xw", Job: "4f7kk2m9", Seal: [32]byte{0x46, 0xe9, 31: 1}, Entries: 94,
		Hub: evidence.Fingerprint("a", "b"), Size: 218, Root: [32]byte{31: 0xff}, At: time.Date(2026, 3, 6, 16, 21, 0, 0, time.UTC)}
}

func TestReceiptText(t *testing.T) {
	zeros := strings.Repeat("00", 29)
	want := "fettlebook receipt 1 shop:k7m2q4xw job:4f7kk2m9 seal:46e9" + zeros + "01 entries:94 " +
		// printf 'a\nb\n' | sha256sum
		"hub:911169ddaaf146aff539f58c26c489af3b892dff0fe283c1c264c65ae5aa59a2 log:218 root:" + strings.Repeat("00", 31) + "ff at:20260306T162100Z"
	text := receipt().String()
	if text != want {
		t.Errorf("the receipt is\n%s\nwant\n%s", text, want)
	}
	for _, spaced := range []string{text, strings.ReplaceAll(text, " ", "\n"), strings.ReplaceAll(text, " ", ""), " " + strings.ReplaceAll(text, "0000", "0 0\t0\r\n0") + "\u00a0", "\ufeff" + strings.ReplaceAll(text, "0000", "00\u200b00\u00ad")} {
		got, err := evidence.ParseReceipt(spaced)
		if err != nil || got != receipt() {
			t.Errorf("%q reads as %+v, %v", spaced, got, err)
		}
	}
}

func TestParseReceiptRefuses(t *testing.T) {
	good := receipt().String()
	for name, text := range map[string]string{
		"nothing":            "",
		"something else":     "hello",
		"another edition":    strings.Replace(good, "receipt 1", "receipt 2", 1),
		"half of it":         good[:len(good)/2],
		"no time":            good[:strings.Index(good, " at:")],
		"an empty time":      good[:strings.Index(good, " at:")+4],
		"more behind it":     good + "x",
		"a field more":       good + " more:1",
		"a field twice":      strings.Replace(good, "job:", "job:4f7kk2m9 job:", 1),
		"fields exchanged":   strings.Replace(strings.Replace(good, "seal:", "x:", 1), "root:", "seal:", 1),
		"no shop":            strings.Replace(good, "k7m2q4xw", "", 1),
		"a shop of no name":  strings.Replace(good, "k7m2q4xw", "k7/m2", 1),
		"no entries":         strings.Replace(good, "entries:94", "entries:0", 1),
		"entries in hex":     strings.Replace(good, "entries:94", "entries:0x5e", 1),
		"a zero in front":    strings.Replace(good, "entries:94", "entries:094", 1),
		"a log beyond 2^40":  strings.Replace(good, "log:218", "log:1099511627777", 1),
		"a log beyond 2^64":  strings.Replace(good, "log:218", "log:118446744073709551616", 1),
		"a hash in capitals": strings.Replace(good, "46e9", "46E9", 1),
		"a hash too short":   strings.Replace(good, "46e9", "46e", 1),
		"a hash too long":    strings.Replace(good, "46e9", "46e900", 1),
		"a thirteenth month": strings.Replace(good, "20260306", "20261306", 1),
		"very long":          good + strings.Repeat(" ", 3000),
	} {
		if r, err := evidence.ParseReceipt(text); !errors.Is(err, evidence.ErrReceipt) {
			t.Errorf("%s: read as %+v, %v", name, r, err)
		}
	}
}

func FuzzReceipt(f *testing.F) {
	f.Add(receipt().String())
	f.Add("fettlebook receipt 1 shop:")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := evidence.ParseReceipt(text)
		if err != nil {
			return
		}
		if again, err := evidence.ParseReceipt(r.String()); err != nil || again != r {
			t.Errorf("%q reads as %+v, written %q, which reads as %+v, %v", text, r, r, again, err)
		}
	})
}
