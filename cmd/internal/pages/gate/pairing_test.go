package gate_test

import (
	"crypto/rand"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/gate"

	"pgregory.net/rapid"
)

type zeroes struct{}

func (zeroes) Read(p []byte) (int, error) { clear(p); return len(p), nil }

type dry struct{}

func (dry) Read([]byte) (int, error) { return 0, errors.New("no randomness") }

func TestCodes(t *testing.T) {
	o, err := gate.NewPairing(time.Now, zeroes{}).Offer()
	if err != nil || o.Typed != "0000-0000" || o.Link != strings.Repeat("0", 32) {
		t.Errorf("%q %q, %v", o.Link, o.Typed, err)
	}
	for _, verb := range []string{"%v", "%+v", "%#v", "%s"} {
		if text := fmt.Sprintf(verb, o); strings.Contains(text, "0") {
			t.Errorf("%s prints %q", verb, text)
		}
	}
	if _, err := gate.NewPairing(time.Now, dry{}).Offer(); err == nil {
		t.Error("an offer without randomness")
	}
	for _, c := range []struct{ typed, want string }{
		{"7kq2m4xb", "7kq2m4xb"},
		{"7KQ2-M4XB", "7kq2m4xb"},
		{" 7kq2 m4xb ", "7kq2m4xb"},
		{"OIL0-oil0", "01100110"}, // Crockford's base 32 reads them so
		{strings.Repeat("7kq2m4xb", 4), strings.Repeat("7kq2m4xb", 4)},
		{"", ""},
		{"7kq2m4x", ""},
		{"7kq2m4xbb", ""},
		{"7kq2m4xu", ""},
		{"7kq2_m4xb", ""},
		{strings.Repeat("-", 200) + "7kq2m4xb", ""},
	} {
		if got, err := gate.ReadCode(c.typed); got != c.want || errors.Is(err, gate.ErrCode) != (c.want == "") {
			t.Errorf("%q is read as %q, %v; want %q", c.typed, got, err, c.want)
		}
	}
}

func FuzzCode(f *testing.F) {
	for _, s := range []string{"7KQ2-M4XB", "oil0oil0", "", "K7kq2m4x", "7kq2m4xu", strings.Repeat("7", 32)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := gate.ReadCode(text)
		if err != nil {
			if !errors.Is(err, gate.ErrCode) || got != "" {
				t.Fatal(got, err)
			}
			return
		}
		if again, err := gate.ReadCode(strings.ToUpper(got)); err != nil || again != got || len(got) != 8 && len(got) != 32 {
			t.Errorf("%q is read as %q and that as %q, %v", text, got, again, err)
		}
	})
}

func TestPairing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := gate.NewPairing(time.Now, rand.Reader)
		offer := func() gate.Offer {
			t.Helper()
			o, err := p.Offer()
			if err != nil {
				t.Fatal(err)
			}
			return o
		}
		try := func(what, code string, want error) {
			t.Helper()
			got, err := p.Redeem(code, " Blue   phone ")
			if !errors.Is(err, want) || err == nil && got != bluePhone {
				t.Errorf("%s: %+v, %v, want %v", what, got, err, want)
			}
		}
		try("before any offer", "7KQ2-M4XB", gate.ErrUnknownCode)
		first := offer()
		try("typed in lower case", strings.ToLower(first.Typed), nil)
		try("the link after it", first.Link, gate.ErrUsedCode)
		second := offer()
		if shown, ok := p.Open(); !ok || shown != second || shown.Until != time.Now().Add(10*time.Minute) {
			t.Errorf("open: %v, %v", shown, ok)
		}
		third := offer()
		try("an older one", second.Typed, gate.ErrReplacedCode)
		<-time.After(10*time.Minute - 1)
		try("in the last instant", third.Link, nil)
		fourth := offer()
		<-time.After(10 * time.Minute)
		try("an instant later", fourth.Link, gate.ErrExpiredCode)
		if _, ok := p.Open(); ok {
			t.Error("an expired offer is open")
		}
		fifth := offer()
		p.Withdraw()
		try("withdrawn", fifth.Typed, gate.ErrReplacedCode)
		try("the expired one, still", fourth.Typed, gate.ErrExpiredCode)

		sixth := offer()
		for range 10 { // none of these is a guess
			try("no code", "7KQ2-M4X", gate.ErrCode)
			try("a link of another day", strings.Repeat("7", 32), gate.ErrUnknownCode)
			try("the first one", first.Typed, gate.ErrUsedCode)
			if _, err := p.Redeem(sixth.Typed, " \n"); !errors.Is(err, gate.ErrName) {
				t.Error(err)
			}
		}
		for range 4 {
			try("a guess", wrongCode(sixth), gate.ErrUnknownCode)
		}
		try("the fifth guess", wrongCode(sixth), gate.ErrGuessedCode)
		try("the right one after it", sixth.Link, gate.ErrGuessedCode)
		try("and typed", sixth.Typed, gate.ErrGuessedCode)
	})
}

// wrongCode differs from the typed code of o in its first letter.
func wrongCode(o gate.Offer) string {
	letter := "7"
	if o.Typed[0] == '7' {
		letter = "8"
	}
	return letter + o.Typed[1:]
}

func TestPhoneNames(t *testing.T) {
	for name, want := range map[string]string{
		"Blue phone":            "Blue phone",
		"  Blue \t phone\n":     "Blue phone",
		strings.Repeat("ö", 40): strings.Repeat("ö", 40),
		strings.Repeat("ö", 41): "",
		"":                      "",
		" ":                     "",
		"a\x00b":                "",
		"a\u202eb":              "", // turns what follows around
		"\xff":                  "",
	} {
		p := gate.NewPairing(time.Now, rand.Reader)
		o, err := p.Offer()
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.Redeem(o.Link, name)
		if got.Name != want || errors.Is(err, gate.ErrName) != (want == "") {
			t.Errorf("%q: %q, %v", name, got.Name, err)
		}
	}
}

// modelOffer is what can be said of an offer from outside.
type modelOffer struct {
	gate.Offer
	wrong  int
	closed error
}

// Whatever is done in whatever order, an offer pairs one phone at most, within
// its time, before its fifth wrong guess, and while it is the newest.
func TestOfferLife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
		p := gate.NewPairing(func() time.Time { return now }, rand.Reader)
		var offers []*modelOffer
		newest := func() *modelOffer {
			if len(offers) == 0 {
				return nil
			}
			return offers[len(offers)-1]
		}
		closeNewest := func(why error) {
			if o := newest(); o != nil && o.closed == nil {
				o.closed = why
			}
		}
		pass := func(d time.Duration) {
			now = now.Add(d)
			if o := newest(); o != nil && !now.Before(o.Until) {
				closeNewest(gate.ErrExpiredCode)
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"offer": func(t *rapid.T) {
				if len(offers) == 16 {
					t.Skip("older ones are forgotten")
				}
				closeNewest(gate.ErrReplacedCode)
				o, err := p.Offer()
				if err != nil {
					t.Fatal(err)
				}
				offers = append(offers, &modelOffer{Offer: o})
			},
			"withdraw": func(*rapid.T) {
				p.Withdraw()
				closeNewest(gate.ErrReplacedCode)
			},
			"wait": func(t *rapid.T) { pass(time.Duration(rapid.IntRange(0, 400).Draw(t, "seconds")) * time.Second) },
			"redeem": func(t *rapid.T) {
				if len(offers) == 0 {
					t.Skip("none yet")
				}
				o := rapid.SampledFrom(offers).Draw(t, "offer")
				code := rapid.SampledFrom([]string{o.Link, o.Typed}).Draw(t, "code")
				got, err := p.Redeem(code, bluePhone.Name)
				if !errors.Is(err, o.closed) || err == nil && got != bluePhone {
					t.Fatalf("%v, %v, want %v", got, err, o.closed)
				}
				if err == nil {
					o.closed = gate.ErrUsedCode
				}
			},
			"guess": func(t *rapid.T) {
				o, want := newest(), gate.ErrUnknownCode
				if o == nil {
					t.Skip("none yet")
				}
				if o.closed == nil {
					if o.wrong++; o.wrong == 5 {
						o.closed, want = gate.ErrGuessedCode, gate.ErrGuessedCode
					}
				}
				if _, err := p.Redeem(wrongCode(o.Offer), bluePhone.Name); !errors.Is(err, want) {
					t.Fatalf("%v, want %v", err, want)
				}
			},
			"": func(t *rapid.T) {
				o, ok := p.Open()
				if want := newest(); ok != (want != nil && want.closed == nil) || ok && o != want.Offer {
					t.Fatalf("open: %v %v", o.Until, ok)
				}
			},
		})
	})
}
