package day_test

import (
	"crypto/rand"
	"io"
	"os"
	"testing"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"
)

// pictures is where the README's are.
const pictures = "../../../../testdata/pictures/"

// The README opens with the page of a job on a bench that has no network and misses a plug:
// the day is played until then.
func TestAPlugIsMissing(t *testing.T) {
	if os.Getenv("FETTLEBOOK_PICTURES") == "" {
		browsertest.OnlyEverywhere(t)
	}
	t.Parallel()
	day, err := demo.Begin(t.Context(), demo.Config{Dir: t.TempDir(), Program: house.Program(t), Out: io.Discard, Now: time.Now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := day.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := day.Until(t.Context(), "2026-05-12 15:52"); err != nil {
		t.Fatal(err)
	}
	sites, err := day.Sites(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	p := house.Browser(t).Page(browsertest.Size{Name: "a tablet", Width: 900, Height: 1500, Touch: true})
	p.NoScript() // whether the hub answers is what the bench says, not what its page hears
	p.Open(sites[1].Address + "/who")
	p.Go("MK")
	p.Open(sites[1].Address + "/")
	p.Go("TRL 4471")
	p.Sees("Plugs out")
	p.Kept("body", 1500, pictures+"readme.png")
}

// recordOpens holds the opening of the day's record at the desk against the README's picture.
func recordOpens(t *testing.T, desk string) {
	t.Helper()
	p := house.Browser(t).Page(browsertest.Size{Name: "a desk", Width: 1100, Height: 1200})
	p.Open(desk + "/signin")
	p.Fill("Passphrase", demo.Passphrase)
	p.Go("Sign in")
	p.Go("TRL 4471")
	p.Sees("Before and after")
	p.Kept("main", 1080, pictures+"record.jpg")
}
