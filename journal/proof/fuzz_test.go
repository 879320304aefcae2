package proof_test

import (
	"bytes"
	"strings"
	"testing"

	"fettlebook/journal/proof"
)

func FuzzParseKey(f *testing.F) {
	f.Add(newKey(f, bench, 'a').Secret())
	f.Add(newKey(f, "a b", 'a').Secret())
	f.Add(newKey(f, "", 'a').Secret())
	f.Add(newKey(f, bench, 'a').Verifier())
	f.Add("PRIVATE+KEY+++")
	f.Fuzz(func(t *testing.T, text string) {
		k, err := proof.ParseKey(text)
		if err != nil {
			return
		}
		if k.Secret() != strings.TrimSpace(text) {
			t.Errorf("%q is written as %q", text, k.Secret())
		}
		if _, err := proof.Open(signed7(t, k), verifier(t, k)); err != nil {
			t.Errorf("what %v signs does not verify: %v", k, err)
		}
	})
}

func FuzzOpen(f *testing.F) {
	k := newKey(f, bench, 'a')
	f.Add(signed7(f, k))
	f.Add(countersigned(f, k, newKey(f, hub, 'h')))
	f.Add([]byte(bench + "\n7\n\n\n— " + bench + " AAAA\n"))
	f.Fuzz(func(t *testing.T, signed []byte) {
		c, err := proof.Open(signed, verifier(t, k))
		if err != nil {
			return
		}
		again, err := proof.Sign(k.Signer(), c.Size, c.Root)
		if err != nil {
			t.Fatal(err)
		}
		text, _, _ := bytes.Cut(again, []byte("\n\n"))
		if !bytes.HasPrefix(signed, append(text, "\n\n"...)) {
			t.Errorf("opened as %d %v:\n%s", c.Size, c.Root, signed)
		}
	})
}

func FuzzNode(f *testing.F) {
	f.Add(make([]byte, 64), 1)
	f.Fuzz(func(t *testing.T, packed []byte, nth int) {
		h, err := proof.Node(packed, nth)
		if (err == nil) != (nth >= 0 && nth < len(packed)/32) {
			t.Errorf("hash %d of %d bytes gave %v, %v", nth, len(packed), h, err)
		}
	})
}
