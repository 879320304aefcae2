package proof_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"testing/iotest"

	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/note"
)

const (
	office = "fettlebook/k7m2q4xw/office"
	bench  = "fettlebook/k7m2q4xw/t3fz8c1n"
	hub    = "fettlebook/k7m2q4xw/hub"
)

// newKey makes a key whose seed is the letter, 32 times.
func newKey(t testing.TB, name string, letter byte) proof.Key {
	t.Helper()
	return keyOf(t, name, bytes.Repeat([]byte{letter}, ed25519.SeedSize))
}

func keyOf(t testing.TB, name string, seed []byte) proof.Key {
	t.Helper()
	k, err := proof.NewKey(bytes.NewReader(seed), name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func verifier(t testing.TB, k proof.Key) note.Verifier {
	t.Helper()
	v, err := proof.Verifier(k.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestNames(t *testing.T) {
	if got := proof.Origin("k7m2q4xw", "t3fz8c1n"); got != bench {
		t.Errorf("origin is %q, want %q", got, bench)
	}
	if got := proof.CosignerName("k7m2q4xw"); got != hub {
		t.Errorf("the cosigner is %q, want %q", got, hub)
	}
}

// RFC 8032 section 7.1, tests 1 to 3.
func TestSignaturesReference(t *testing.T) {
	for i, v := range []struct{ secret, public, msg, sig string }{
		{
			"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
			"d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
			"e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
		},
		{
			"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
			"3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
			"92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
		},
		{
			"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
			"fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
			"6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
		},
	} {
		k := keyOf(t, bench, unhex(t, v.secret))
		public, err := base64.StdEncoding.DecodeString(strings.SplitN(k.Verifier(), "+", 3)[2])
		if err != nil {
			t.Fatal(err)
		}
		if got := hex.EncodeToString(public); got != "01"+v.public {
			t.Errorf("test %d: the public key is %s, want 01%s", i+1, got, v.public)
		}
		sig, err := k.Signer().Sign(unhex(t, v.msg))
		if err != nil {
			t.Fatal(err)
		}
		if got := hex.EncodeToString(sig); got != v.sig {
			t.Errorf("test %d: the signature is %s, want %s", i+1, got, v.sig)
		}
		if !verifier(t, k).Verify(unhex(t, v.msg), sig) || !ed25519.Verify(public[1:], unhex(t, v.msg), sig) {
			t.Errorf("test %d: the signature does not verify", i+1)
		}
		sig[9] ^= 1
		if verifier(t, k).Verify(unhex(t, v.msg), sig) {
			t.Errorf("test %d: a bent signature verifies", i+1)
		}
	}
}

// The example in the package documentation of golang.org/x/mod/sumdb/note.
func TestNoteReference(t *testing.T) {
	const (
		secret = "PRIVATE+KEY+PeterNeumann+c74f20a3+AYEKFALVFGyNhPJEMzD1QIDr+Y7hfZx09iUvxdXHKDFz"
		public = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW"
		text   = "If you think cryptography is the answer to your problem,\n" +
			"then you don't know what your problem is.\n"
		signed = text + "\n" +
			"— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n"
	)
	k, err := proof.ParseKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	if k.Name() != "PeterNeumann" || k.Verifier() != public || k.Secret() != secret || k.IsZero() {
		t.Errorf("the key reads as %s with public half %s", k.Name(), k.Verifier())
	}
	if hash := k.Signer().KeyHash(); hash != 0xc74f20a3 {
		t.Errorf("the key hash is %08x", hash)
	}
	got, err := note.Sign(&note.Note{Text: text}, k.Signer())
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != signed {
		t.Errorf("signed as\n%s\nwant\n%s", got, signed)
	}
}

func TestKeyRoundTrip(t *testing.T) {
	k := newKey(t, bench, 'a')
	for _, text := range []string{k.Secret(), k.Secret() + "\n", " " + k.Secret() + "\r\n"} {
		got, err := proof.ParseKey(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if got.Secret() != k.Secret() || got.Verifier() != k.Verifier() || got.Name() != bench {
			t.Errorf("%q reads as the key of %s", text, got.Name())
		}
	}
	if _, err := note.NewSigner(k.Secret()); err != nil {
		t.Errorf("the key file is not a signer key of a note: %v", err)
	}
	if _, err := proof.NewKey(iotest.ErrReader(iotest.ErrTimeout), bench); err == nil {
		t.Error("a key was drawn without randomness")
	}
	if _, err := proof.NewKey(strings.NewReader("too short"), bench); err == nil {
		t.Error("a key was drawn from nine bytes")
	}
	if (proof.Key{}).IsZero() == k.IsZero() {
		t.Error("no key and a key are told apart by nothing")
	}
}

func TestParseKeyRefuses(t *testing.T) {
	good := newKey(t, bench, 'a').Secret()
	fields := strings.SplitN(good, "+", 5)
	with := func(at int, text string) string {
		f := append([]string(nil), fields...)
		f[at] = text
		return strings.Join(f, "+")
	}
	seed := func(alg byte, n int) string {
		return base64.StdEncoding.EncodeToString(append([]byte{alg}, bytes.Repeat([]byte{'a'}, n)...))
	}
	for name, text := range map[string]string{
		"nothing":                  "",
		"half of it":               good[:len(good)/2],
		"one letter short":         good[:len(good)-1],
		"a letter too many":        good + "A",
		"a public key":             newKey(t, bench, 'a').Verifier(),
		"no PRIVATE":               with(0, "PUBLIC"),
		"no KEY":                   with(1, "LOCK"),
		"another name":             with(2, office),
		"no name":                  newKey(t, "", 'a').Secret(),
		"a name with a space":      newKey(t, "a b", 'a').Secret(),
		"another hash":             with(3, "00000000"),
		"the hash in capitals":     with(3, strings.ToUpper(fields[3])),
		"another algorithm":        with(4, seed(4, ed25519.SeedSize)),
		"a seed too short":         with(4, seed(1, ed25519.SeedSize-1)),
		"a seed too long":          with(4, seed(1, ed25519.SeedSize+1)),
		"an empty seed":            with(4, ""),
		"no base64":                with(4, "?"),
		"a line break in its seed": good[:len(good)-8] + "\n" + good[len(good)-8:],
		"two keys":                 good + "\n" + good,
	} {
		k, err := proof.ParseKey(text)
		if err == nil {
			t.Errorf("%s was taken as %v", name, k)
			continue
		}
		if len(text) > 60 && strings.Contains(err.Error(), text[len(text)-12:]) {
			t.Errorf("%s: the refusal shows the secret: %v", name, err)
		}
	}
	raw := []byte(good)
	for i := range raw {
		raw[i] ^= 1
		if k, err := proof.ParseKey(string(raw)); err == nil {
			t.Errorf("letter %d altered: taken as %v", i, k)
		}
		raw[i] ^= 1
	}
}

// keeper holds a key in a private field, where no String method is asked.
type keeper struct {
	key   proof.Key
	inner struct{ Key proof.Key }
}

func TestKeyPrintsAsAMask(t *testing.T) {
	k := newKey(t, bench, 'a')
	for _, verb := range []string{"%v", "%+v", "%#v", "%s"} {
		if got, want := fmt.Sprintf(verb, k), "key "+bench+" (secret)"; got != want {
			t.Errorf("%s prints as %q, want %q", verb, got, want)
		}
	}
	held := keeper{key: k}
	held.inner.Key = k
	var prints []string
	for _, v := range []any{k, &k, []proof.Key{k}, map[string]proof.Key{"": k}, held, &held, k.Signer(), k.Cosigner(nil)} {
		for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%x", "%d"} {
			prints = append(prints, fmt.Sprintf(verb, v))
		}
		var out bytes.Buffer
		slog.New(slog.NewTextHandler(&out, nil)).Info("text", "key", v)
		slog.New(slog.NewJSONHandler(&out, nil)).Info("json", "key", v)
		prints = append(prints, out.String())
	}
	seed := bytes.Repeat([]byte{'a'}, ed25519.SeedSize)
	secret := strings.SplitN(k.Secret(), "+", 5)[4]
	for _, print := range prints {
		for _, shown := range []string{secret[2:20], string(seed[:8]), hex.EncodeToString(seed[:8]), "97 97 97", "97, 97", "0x61, 0x61"} {
			if strings.Contains(strings.ToLower(print), strings.ToLower(shown)) {
				t.Errorf("the secret can be read in %s", print)
			}
		}
	}
}

func TestSignForAPurpose(t *testing.T) {
	k, other := newKey(t, bench, 'a'), newKey(t, bench, 'b')
	msg := []byte("let me in")
	sig := k.Sign("join", msg)
	if !proof.VerifySign(k.Verifier(), "join", msg, sig) {
		t.Fatal("an honest signature does not verify")
	}
	bentSig := bytes.Clone(sig)
	bentSig[3] ^= 1
	for name, ok := range map[string]bool{
		"another purpose":     proof.VerifySign(k.Verifier(), "leave", msg, sig),
		"another message":     proof.VerifySign(k.Verifier(), "join", []byte("let me in."), sig),
		"another key":         proof.VerifySign(other.Verifier(), "join", msg, sig),
		"a bent signature":    proof.VerifySign(k.Verifier(), "join", msg, bentSig),
		"half a signature":    proof.VerifySign(k.Verifier(), "join", msg, sig[:32]),
		"no signature":        proof.VerifySign(k.Verifier(), "join", msg, nil),
		"no verifier":         proof.VerifySign("", "join", msg, sig),
		"a verifier cut off":  proof.VerifySign(k.Verifier()[:60], "join", msg, sig),
		"a secret for public": proof.VerifySign(k.Secret(), "join", msg, sig),
	} {
		if ok {
			t.Errorf("%s verifies", name)
		}
	}
}

// What is signed for a purpose is never a checkpoint, and the reverse, even
// if somebody chooses the purpose and the message.
func TestPurposesAndCheckpointsAreApart(t *testing.T) {
	k := newKey(t, bench, 'a')
	signed, err := proof.Sign(k.Signer(), 3, [32]byte{7})
	if err != nil {
		t.Fatal(err)
	}
	text, sigs, _ := strings.Cut(string(signed), "\n\n")
	text += "\n"
	raw, err := base64.StdEncoding.DecodeString(strings.Fields(sigs)[2])
	if err != nil {
		t.Fatal(err)
	}
	for _, purpose := range []string{"", "checkpoint", strings.TrimPrefix(text, "fettlebook/")} {
		if proof.VerifySign(k.Verifier(), purpose, []byte(text), raw[4:]) || proof.VerifySign(k.Verifier(), purpose, nil, raw[4:]) {
			t.Errorf("a checkpoint passes for a request with purpose %q", purpose)
		}
		sig := k.Sign(purpose, []byte(text))
		forged := text + "\n— " + bench + " " + base64.StdEncoding.EncodeToString(append(raw[:4:4], sig...)) + "\n"
		if _, err := proof.Open([]byte(forged), verifier(t, k)); err == nil {
			t.Errorf("a request with purpose %q passes for a checkpoint", purpose)
		}
	}
}
