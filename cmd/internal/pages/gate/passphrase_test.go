package gate_test

import (
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"net/http/httptest"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/gate"
)

const right = "grey primer on the left"

// cheap fits right and costs 8 KiB, so that hundreds of tries take no time.
// The reference implementation's program wrote it:
// printf 'grey primer on the left' | argon2 'salt of 16 bytes' -id -t 1 -k 8 -p 1 -l 32 -e
const cheap = "$argon2id$v=19$m=8,t=1,p=1$c2FsdCBvZiAxNiBieXRlcw$CgDoBqkV6yj+5Pzfy4bhIJOwiWwbkanBpgwLo5Rv+uU\n"

var sender = netip.MustParseAddr("192.168.4.31")

func withPassphrase(t *testing.T, file string) *gate.Passphrase {
	t.Helper()
	path := filepath.Join(t.TempDir(), "desk")
	if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	return gate.NewPassphrase(path, time.Now, rand.Reader)
}

func TestPassphraseSet(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "keys", "desk")
	p := gate.NewPassphrase(path, time.Now, rand.Reader)
	if set, err := p.IsSet(); set || err != nil {
		t.Errorf("before it was set: %v, %v", set, err)
	}
	if err := p.Check(ctx, "", sender); !errors.Is(err, gate.ErrNoPassphrase) {
		t.Errorf("checked before it was set: %v", err)
	}
	for _, passphrase := range []string{right, "another one entirely"} {
		if err := p.Set(ctx, passphrase); err != nil {
			t.Fatal(err)
		}
		if err := p.Check(ctx, passphrase, sender); err != nil {
			t.Errorf("the right one: %v", err)
		}
	}
	if err := p.Check(ctx, right, sender); !errors.Is(err, gate.ErrWrongPassphrase) {
		t.Errorf("the one before: %v", err)
	}
	if set, err := p.IsSet(); !set || err != nil {
		t.Errorf("after it was set: %v, %v", set, err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("kept as %v, %v", info.Mode(), err)
	}
	raw, err := os.ReadFile(path)
	if err != nil || strings.Contains(string(raw), "another") || !strings.HasPrefix(string(raw), "$argon2id$v=19$m=19456,t=2,p=1$") {
		t.Errorf("kept %q, %v", raw, err)
	}
}

func TestPassphraseRules(t *testing.T) {
	for _, c := range []struct {
		name, set string
		want      error
		also      string // is the same passphrase
	}{
		{"empty", "", gate.ErrShortPassphrase, ""},
		{"seven", "abcdefg", gate.ErrShortPassphrase, ""},
		{"eight", "abcdefgh", nil, ""},
		{"seven of two bytes", "äöüäöüä", gate.ErrShortPassphrase, ""},
		{"eight of two bytes", "äöüäöüäö", nil, ""},
		{"four, each typed as two", "a\u0308o\u0308u\u0308a\u0308", gate.ErrShortPassphrase, ""},
		{"accents typed as two", "Schraubenschl\u00fcssel", nil, "Schraubenschlu\u0308ssel"},
		{"wide space", "two\u3000words", nil, "two words"},
		{"longest", strings.Repeat("ä", 256), nil, ""},
		{"too long", strings.Repeat("ä", 257), gate.ErrLongPassphrase, ""},
		{"tab", "with\ta tab", gate.ErrOddPassphrase, ""},
		{"broken text", "broken \xff text", gate.ErrOddPassphrase, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			ctx := context.Background()
			p := gate.NewPassphrase(filepath.Join(t.TempDir(), "desk"), time.Now, rand.Reader)
			if err := p.Set(ctx, c.set); !errors.Is(err, c.want) {
				t.Fatalf("set: %v, want %v", err, c.want)
			}
			if set, err := p.IsSet(); set != (c.want == nil) || err != nil {
				t.Errorf("set now: %v, %v", set, err)
			}
			if c.also == "" {
				return
			}
			if err := p.Check(ctx, c.also, sender); err != nil {
				t.Errorf("typed the other way: %v", err)
			}
			if err := p.Check(ctx, strings.ToUpper(c.also), sender); !errors.Is(err, gate.ErrWrongPassphrase) {
				t.Errorf("in capitals: %v", err)
			}
		})
	}
}

func TestPassphraseDamaged(t *testing.T) {
	for _, file := range []string{"", "\n", right, "$argon2id$", cheap + cheap} {
		p := withPassphrase(t, file)
		for _, try := range []string{"", right, file} {
			if err := p.Check(context.Background(), try, sender); !errors.Is(err, gate.ErrPassphraseFile) {
				t.Errorf("%q tried against %q: %v", try, file, err)
			}
		}
	}
	p := gate.NewPassphrase(t.TempDir(), time.Now, rand.Reader)
	if err := p.Check(context.Background(), right, sender); err == nil || errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder in its place: %v", err)
	}
}

// A try that waits for another gives up with its request.
func TestPassphraseGivenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := withPassphrase(t, cheap)
		ctx, cancel := context.WithCancel(context.Background())
		release := p.Busy()
		got := make(chan error)
		go func() { got <- p.Check(ctx, right, sender) }()
		synctest.Wait()
		cancel()
		if err := <-got; !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
		release()
		if err := p.Check(context.Background(), right, sender); err != nil {
			t.Error(err)
		}
	})
}

// isSlow tries and returns how long there is to wait.
func isSlow(t *testing.T, p *gate.Passphrase, passphrase string, from netip.Addr) time.Duration {
	t.Helper()
	err := p.Check(context.Background(), passphrase, from)
	var slow *gate.Slow
	switch {
	case errors.As(err, &slow):
		if !slow.Until.Equal(time.Now().Add(slow.Wait)) || slow.Wait <= 0 {
			t.Errorf("wait %v until %v", slow.Wait, slow.Until)
		}
		return slow.Wait
	case passphrase == right && err != nil, passphrase != right && !errors.Is(err, gate.ErrWrongPassphrase):
		t.Errorf("%q: %v", passphrase, err)
	}
	return 0
}

func TestSlowEach(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := withPassphrase(t, cheap)
		threeFree := func(when string) {
			t.Helper()
			for i := range 3 {
				if wait := isSlow(t, p, "wrong passphrase", sender); wait != 0 {
					t.Errorf("%s, wrong one %d waits %v", when, i, wait)
				}
			}
		}
		start := time.Now()
		threeFree("at first")
		for i := 0; time.Since(start) < 24*time.Hour; i++ {
			if i > 110 {
				t.Fatalf("%d tries in a day", i)
			}
			// While there is to wait, the right one is not looked at either.
			wait := isSlow(t, p, right, sender)
			if want := min(15*time.Minute, 2*time.Second<<min(i, 16)); wait != want {
				t.Errorf("wait %d is %v, want %v", i, wait, want)
			}
			<-time.After(wait)
			if isSlow(t, p, "wrong passphrase", sender) != 0 {
				t.Fatal("slowed down after having waited")
			}
		}
		<-time.After(15 * time.Minute)
		if wait := isSlow(t, p, right, sender); wait != 0 {
			t.Errorf("the right one after the wait: wait %v", wait)
		}
		threeFree("after the right one")
		<-time.After(25 * time.Hour)
		threeFree("after a day")
	})
}

// Many senders, each with its own address, are slowed down together; neither the
// hub's own screen nor who was right before waits for them.
func TestSlowAll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := withPassphrase(t, cheap)
		regular := netip.MustParseAddr("192.168.4.9")
		if isSlow(t, p, right, regular) != 0 {
			t.Fatal("slow at once")
		}
		from, looked := netip.MustParseAddr("10.1.0.1"), 0
		for range 3 * gate.MaxSenders {
			from = from.Next()
			if isSlow(t, p, "wrong passphrase", from) == 0 {
				looked++
			}
		}
		if looked != 20 {
			t.Errorf("%d wrong ones were looked at in one instant, want 20", looked)
		}
		if n := p.Senders(); n > gate.MaxSenders {
			t.Errorf("%d senders are remembered", n)
		}
		for _, trusted := range []netip.Addr{regular, netip.MustParseAddr("127.0.0.1"), netip.IPv6Loopback()} {
			if wait := isSlow(t, p, "wrong passphrase", trusted); wait != 0 {
				t.Errorf("%s waits %v", trusted, wait)
			}
		}
		if isSlow(t, p, "wrong passphrase", from.Next()) == 0 {
			t.Error("a stranger need not wait")
		}
		start, tries := time.Now(), 0
		for time.Since(start) < 24*time.Hour {
			from = from.Next()
			<-time.After(isSlow(t, p, "wrong passphrase", from))
			tries++
		}
		if tries > 2*1500 {
			t.Errorf("%d tries in a day", tries)
		}
	})
}

// A network of IPv6 is one sender, and so is what has no address.
func TestSlowSenders(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"fd00::1", "fd00::ffff:1", true},
		{"fd00::1", "fd00:0:0:1::1", false},
		{"192.168.4.1", "192.168.4.2", false},
		{"", "", true},
	} {
		synctest.Test(t, func(t *testing.T) {
			p := withPassphrase(t, cheap)
			a, _ := netip.ParseAddr(c.a) // of "", the zero Addr
			b, _ := netip.ParseAddr(c.b)
			for range 3 {
				isSlow(t, p, "wrong passphrase", a)
			}
			if got := isSlow(t, p, "wrong passphrase", b) != 0; got != c.same {
				t.Errorf("%q and %q are one sender: %v", c.a, c.b, got)
			}
		})
	}
}

// Tries at the same time get no further than one after the other.
func TestSlowAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := withPassphrase(t, cheap)
		var wg sync.WaitGroup
		looked := make(chan bool, 100)
		for range 100 {
			wg.Go(func() {
				looked <- errors.Is(p.Check(context.Background(), "wrong passphrase", sender), gate.ErrWrongPassphrase)
			})
		}
		wg.Wait()
		close(looked)
		n := 0
		for l := range looked {
			if l {
				n++
			}
		}
		if n != 3 {
			t.Errorf("%d of 100 were looked at, want 3", n)
		}
	})
}

func TestSlowSentence(t *testing.T) {
	for wait, want := range map[time.Duration]string{
		time.Millisecond:  "wait 1 second and",
		2 * time.Second:   "wait 2 seconds and",
		120 * time.Second: "wait 120 seconds and",
		121 * time.Second: "wait 3 minutes and",
		15 * time.Minute:  "wait 15 minutes and",
	} {
		if got := (&gate.Slow{Wait: wait}).Error(); !strings.Contains(got, want) {
			t.Errorf("%v: %q", wait, got)
		}
	}
}

func TestFrom(t *testing.T) {
	for remote, want := range map[string]netip.Addr{
		"192.168.4.31:5000":          sender,
		"[::ffff:192.168.4.31]:5000": sender,
		"[fe80::1%eth0]:5000":        netip.MustParseAddr("fe80::1"),
		"pipe":                       {},
		"":                           {},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = remote
		r.Header.Set("X-Forwarded-For", "127.0.0.1")
		r.Header.Set("Forwarded", "for=127.0.0.1")
		if got := gate.From(r); got != want {
			t.Errorf("%q: %v, want %v", remote, got, want)
		}
	}
}
