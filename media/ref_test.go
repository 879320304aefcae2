package media_test

import (
	"encoding/json"
	"strings"
	"testing"

	"fettlebook/media"
)

// The hashes are the examples for SHA-256 that NIST publishes with FIPS 180-4
// ("abc", one block) and with its validation vectors (no message, Len = 0).
func TestRefOf(t *testing.T) {
	tests := []struct{ message, want string }{
		{"", "sha256:e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		{"abc", "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
	}
	for _, tt := range tests {
		r := media.RefOf([]byte(tt.message))
		if got := r.String(); got != tt.want {
			t.Errorf("RefOf(%q) = %s, want %s", tt.message, got, tt.want)
		}
		back, err := media.ParseRef(tt.want)
		if err != nil || back != r {
			t.Errorf("ParseRef(%s) = %v, %v", tt.want, back, err)
		}
		if "sha256:"+r.Hex() != tt.want {
			t.Errorf("Hex() = %s", r.Hex())
		}
	}
}

func TestParseRefRefuses(t *testing.T) {
	digits := strings.Repeat("0123456789abcdef", 4)
	tests := map[string]string{
		"nothing":          "",
		"no prefix":        digits,
		"upper-case":       "sha256:" + strings.ToUpper(digits),
		"prefix in upper":  "SHA256:" + digits,
		"one digit short":  "sha256:" + digits[1:],
		"one digit more":   "sha256:" + digits + "0",
		"blank at the end": "sha256:" + digits[1:] + " ",
		"no digit":         "sha256:" + digits[1:] + "g",
		"another hash":     "sha512:" + digits,
		"a path":           "sha256:../../../../../../../../../../../../../../../../../../../../etc/",
	}
	for name, s := range tests {
		t.Run(name, func(t *testing.T) {
			if r, err := media.ParseRef(s); err == nil || !r.IsZero() {
				t.Errorf("ParseRef(%q) = %v, %v, want an error", s, r, err)
			}
		})
	}
}

func TestRefAsText(t *testing.T) {
	type entry struct {
		Photo media.Ref
		None  media.Ref
	}
	in := entry{Photo: media.RefOf([]byte("abc"))}
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"Photo":"sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad","None":""}`
	if string(b) != want {
		t.Errorf("as JSON %s, want %s", b, want)
	}
	var out entry
	if err := json.Unmarshal(b, &out); err != nil || out != in {
		t.Errorf("back from JSON %v, %v", out, err)
	}
	if err := json.Unmarshal([]byte(`{"Photo":"sha256:12"}`), &out); err == nil {
		t.Error("a short reference was read")
	}
}

func FuzzParseRef(f *testing.F) {
	f.Add("sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
	f.Add("sha256:")
	f.Fuzz(func(t *testing.T, s string) {
		if r, err := media.ParseRef(s); err == nil && !r.IsZero() && r.String() != s {
			t.Errorf("%q and %q name the same photo", s, r)
		}
	})
}
