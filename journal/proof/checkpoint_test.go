package proof_test

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"github.com/transparency-dev/formats/log"
	cosign "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// root7 is the root of the first seven leaves of the reference tree.
func root7(t testing.TB) tlog.Hash { return tlog.Hash(unhex(t, referenceRoots[7])) }

func signed7(t testing.TB, k proof.Key) []byte {
	t.Helper()
	signed, err := proof.Sign(k.Signer(), 7, root7(t))
	if err != nil {
		t.Fatal(err)
	}
	return signed
}

func noon() time.Time { return time.Date(2026, time.March, 2, 11, 0, 0, 600e6, time.UTC) }

// The text of C2SP tlog-checkpoint: origin, size, root, a line each.
func TestCheckpointText(t *testing.T) {
	k := newKey(t, bench, 'a')
	signed := signed7(t, k)
	want := bench + "\n7\n3bib5AOAnjJXUNPSY814kpwpQreUKjS3fhIslZSnTIw=\n\n— " + bench + " "
	if !bytes.HasPrefix(signed, []byte(want)) {
		t.Errorf("the checkpoint is\n%s\nand should begin\n%s", signed, want)
	}
	c, err := proof.Open(signed, verifier(t, k))
	if err != nil {
		t.Fatal(err)
	}
	if c.Origin != bench || c.Size != 7 || c.Root != root7(t) || !bytes.Equal(c.Note, signed) {
		t.Errorf("read back as %+v", c)
	}
	if want := (journal.Seen{Size: 7, Root: root7(t)}); c.Seen() != want {
		t.Errorf("seen is %v, want %v", c.Seen(), want)
	}
	// transparency-dev/formats reads it too.
	theirs, rest, _, err := log.ParseCheckpoint(signed, bench, verifier(t, k))
	if err != nil {
		t.Fatal(err)
	}
	if theirs.Origin != bench || theirs.Size != 7 || hex.EncodeToString(theirs.Hash) != referenceRoots[7] || len(rest) > 0 {
		t.Errorf("formats/log reads %+v and %q", theirs, rest)
	}
}

func TestOpenRefuses(t *testing.T) {
	k := newKey(t, bench, 'a')
	root := base64.StdEncoding.EncodeToString(unhex(t, referenceRoots[7]))
	sign := func(text string, keys ...proof.Key) []byte {
		var signers []note.Signer
		for _, k := range keys {
			signers = append(signers, k.Signer())
		}
		signed, err := note.Sign(&note.Note{Text: text}, signers...)
		if err != nil {
			t.Fatal(err)
		}
		return signed
	}
	good := signed7(t, k)
	if got := sign(bench+"\n7\n"+root+"\n", k); !bytes.Equal(got, good) {
		t.Fatalf("the good text of this test is\n%s\nwant\n%s", got, good)
	}
	for name, bad := range map[string][]byte{
		"nothing":                   nil,
		"unsigned":                  []byte(bench + "\n7\n" + root + "\n"),
		"another origin":            sign(office+"\n7\n"+root+"\n", k),
		"an empty origin":           sign("\n7\n"+root+"\n", k),
		"another key of this name":  sign(bench+"\n7\n"+root+"\n", newKey(t, bench, 'b')),
		"the key of another device": sign(bench+"\n7\n"+root+"\n", newKey(t, office, 'a')),
		"no size":                   sign(bench+"\n\n"+root+"\n", k),
		"size in words":             sign(bench+"\nseven\n"+root+"\n", k),
		"size with a zero first":    sign(bench+"\n07\n"+root+"\n", k),
		"size with a sign":          sign(bench+"\n+7\n"+root+"\n", k),
		"negative size":             sign(bench+"\n-7\n"+root+"\n", k),
		"size with a space":         sign(bench+"\n7 \n"+root+"\n", k),
		"size in hexadecimal":       sign(bench+"\n0x7\n"+root+"\n", k),
		"size beyond 2^40":          sign(bench+"\n1099511627777\n"+root+"\n", k),
		"size beyond 2^64":          sign(bench+"\n18446744073709551623\n"+root+"\n", k),
		"an extra line":             sign(bench+"\n7\n"+root+"\nmore\n", k),
		"an empty extra line":       sign(bench+"\n7\n"+root+"\n\n", k),
		"a root too short":          sign(bench+"\n7\n"+base64.StdEncoding.EncodeToString(unhex(t, referenceRoots[7])[:31])+"\n", k),
		"a root too long":           sign(bench+"\n7\n"+base64.StdEncoding.EncodeToString(append(unhex(t, referenceRoots[7]), 0))+"\n", k),
		"a root spelled otherwise":  sign(bench+"\n7\n"+strings.Replace(root, "Iw=", "Ix=", 1)+"\n", k),
		"no root":                   sign(bench+"\n7\n", k),
		"the root in hexadecimal":   sign(bench+"\n7\n"+referenceRoots[7]+"\n", k),
		"something after the end":   append(bytes.Clone(good), "more\n"...),
	} {
		if c, err := proof.Open(bad, verifier(t, k)); !errors.Is(err, proof.ErrCheckpoint) {
			t.Errorf("%s: opened as %+v, %v", name, c, err)
		}
	}
	for i := range good {
		bad := bytes.Clone(good)
		bad[i] ^= 1
		if c, err := proof.Open(bad, verifier(t, k)); err == nil {
			t.Errorf("byte %d altered: opened as %+v", i, c)
		}
	}
	// Others may have signed beside the device.
	if _, err := proof.Open(sign(bench+"\n7\n"+root+"\n", newKey(t, office, 'c'), k), verifier(t, k)); err != nil {
		t.Errorf("a second signature is in the way: %v", err)
	}
}

func TestVerifierRefuses(t *testing.T) {
	good := newKey(t, bench, 'a').Verifier()
	for _, text := range []string{"", "x", good[1:], good[:len(good)-4], newKey(t, "a b", 'a').Verifier(), newKey(t, bench, 'a').Secret()} {
		if _, err := proof.Verifier(text); err == nil {
			t.Errorf("%q was taken as a verifier key", text)
		}
	}
	for _, text := range []string{"", "x", good[:len(good)-4]} {
		if _, err := proof.CosignVerifier(text); err == nil {
			t.Errorf("%q was taken as a countersigning key", text)
		}
	}
}

// countersigned returns a checkpoint with the hub's word of noon.
func countersigned(t testing.TB, device, hubKey proof.Key) []byte {
	t.Helper()
	c, err := proof.Open(signed7(t, device), verifier(t, device))
	if err != nil {
		t.Fatal(err)
	}
	both, err := proof.Countersign(c, verifier(t, device), hubKey.Cosigner(noon))
	if err != nil {
		t.Fatal(err)
	}
	return both
}

// The message of C2SP tlog-cosignature v1, built by hand: the line
// cosignature/v1, the time in seconds, and the note's text. The signature
// line holds the key hash, the time in eight bytes, and the signature.
func TestCosignatureByHand(t *testing.T) {
	device, hubKey := newKey(t, bench, 'a'), newKey(t, hub, 'h')
	both := countersigned(t, device, hubKey)
	text, sigs, _ := strings.Cut(string(both), "\n\n")
	message := fmt.Sprintf("cosignature/v1\ntime 1772449200\n%s\n", text)
	private := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{'h'}, ed25519.SeedSize))

	lines := strings.Split(strings.TrimSpace(sigs), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], "— "+bench+" ") || !strings.HasPrefix(lines[1], "— "+hub+" ") {
		t.Fatalf("the signatures are\n%s", sigs)
	}
	raw, err := base64.StdEncoding.DecodeString(strings.Fields(lines[1])[2])
	if err != nil {
		t.Fatal(err)
	}
	if len(raw) != 4+8+ed25519.SignatureSize || binary.BigEndian.Uint64(raw[4:]) != 1772449200 {
		t.Fatalf("the cosignature is %x", raw)
	}
	if want := ed25519.Sign(private, []byte(message)); !bytes.Equal(raw[12:], want) {
		t.Errorf("the cosignature is %x, want %x over\n%s", raw[12:], want, message)
	}
}

// What transparency-dev/formats verifies and signs is what is signed and
// verified here.
func TestCosignatureOfFormats(t *testing.T) {
	device, hubKey := newKey(t, bench, 'a'), newKey(t, hub, 'h')
	theirs, err := cosign.NewVerifierForCosignatureV1(hubKey.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	n, err := note.Open(countersigned(t, device, hubKey), note.VerifierList(theirs))
	if err != nil {
		t.Fatal(err)
	}
	if at, err := cosign.CoSigV1Timestamp(n.Sigs[0]); err != nil || !at.Equal(noon().Truncate(time.Second)) {
		t.Errorf("their time is %v (%v), want %v", at, err, noon())
	}

	signer, err := cosign.NewSignerForCosignatureV1(hubKey.Secret())
	if err != nil {
		t.Fatal(err)
	}
	if signer.KeyHash() != hubKey.Cosigner(noon).KeyHash() || signer.Name() != hubKey.Cosigner(noon).Name() {
		t.Errorf("their key is %s+%08x, ours %s+%08x", signer.Name(), signer.KeyHash(), hub, hubKey.Cosigner(noon).KeyHash())
	}
	c, err := proof.Open(signed7(t, device), verifier(t, device))
	if err != nil {
		t.Fatal(err)
	}
	before := time.Now().Truncate(time.Second)
	both, err := proof.Countersign(c, verifier(t, device), signer)
	if err != nil {
		t.Fatal(err)
	}
	ours, err := proof.CosignVerifier(hubKey.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	got, at, err := proof.OpenCountersigned(both, verifier(t, device), ours)
	if err != nil {
		t.Fatal(err)
	}
	if got.Size != 7 || got.Root != c.Root || at.Before(before) || at.After(time.Now()) {
		t.Errorf("opened as %+v at %v", got, at)
	}
}

func TestOpenCountersigned(t *testing.T) {
	device, hubKey := newKey(t, bench, 'a'), newKey(t, hub, 'h')
	ours, err := proof.CosignVerifier(hubKey.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	both := countersigned(t, device, hubKey)
	c, at, err := proof.OpenCountersigned(both, verifier(t, device), ours)
	if err != nil {
		t.Fatal(err)
	}
	if c.Size != 7 || c.Root != root7(t) || !bytes.Equal(c.Note, both) || !at.Equal(noon().Truncate(time.Second)) || at.Location() != time.UTC {
		t.Errorf("opened as %+v at %v", c, at)
	}
	if _, err := proof.Open(both, verifier(t, device)); err != nil {
		t.Errorf("the hub’s signature is in the way of the device's: %v", err)
	}

	// Signed again, the newer word stands alone.
	later := func() time.Time { return noon().Add(time.Hour) }
	again, err := proof.Countersign(c, verifier(t, device), hubKey.Cosigner(later))
	if err != nil {
		t.Fatal(err)
	}
	if _, at, err := proof.OpenCountersigned(again, verifier(t, device), ours); err != nil || !at.Equal(later().Truncate(time.Second)) || bytes.Count(again, []byte("— ")) != 2 {
		t.Errorf("countersigned again at %v (%v):\n%s", at, err, again)
	}

	stranger := newKey(t, hub, 's')
	foreign, err := proof.Countersign(c, verifier(t, device), stranger.Cosigner(noon))
	if err != nil {
		t.Fatal(err)
	}
	plain, err := note.Sign(&note.Note{Text: string(both[:bytes.Index(both, []byte("\n\n"))+1])}, device.Signer(), hubKey.Signer())
	if err != nil {
		t.Fatal(err)
	}
	hubOnly := bytes.Replace(both, both[bytes.Index(both, []byte("— "+bench)):bytes.Index(both, []byte("— "+hub))], nil, 1)
	at8 := bytes.LastIndexByte(both, ' ') + 1 + 12 // within the time
	otherTime := bytes.Clone(both)
	otherTime[at8] ^= 1
	for name, bad := range map[string]struct {
		note []byte
		want error
	}{
		"not countersigned":              {signed7(t, device), proof.ErrNotCountersigned},
		"countersigned by a stranger":    {bytes.Replace(foreign, []byte(lastLine(both)), nil, 1), proof.ErrNotCountersigned},
		"signed by the hub with no time": {plain, proof.ErrNotCountersigned},
		"another time":                   {otherTime, proof.ErrNotCountersigned},
		"not signed by the device":       {hubOnly, proof.ErrCheckpoint},
	} {
		if _, _, err := proof.OpenCountersigned(bad.note, verifier(t, device), ours); !errors.Is(err, bad.want) {
			t.Errorf("%s: got %v, want %v", name, err, bad.want)
		}
	}
}

func lastLine(signed []byte) string {
	lines := strings.SplitAfter(string(signed), "\n")
	return lines[len(lines)-2]
}

func TestCountersignRefuses(t *testing.T) {
	device := newKey(t, bench, 'a')
	c := proof.Checkpoint{Origin: bench, Size: 7, Root: root7(t), Note: signed7(t, newKey(t, bench, 'b'))}
	if _, err := proof.Countersign(c, verifier(t, device), newKey(t, hub, 'h').Cosigner(noon)); !errors.Is(err, proof.ErrCheckpoint) {
		t.Errorf("a checkpoint of a stranger was countersigned: %v", err)
	}
}
