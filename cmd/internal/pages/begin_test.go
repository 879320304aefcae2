package pages_test

import (
	"net"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestFirstStart begins a shop in the browser, and with the invitation that it
// shows a tablet joins; what the tablet writes appears at the desk by itself.
func TestFirstStart(t *testing.T) {
	t.Parallel()
	shop := house.Unfounded(t)
	b := house.Browser(t)
	p := b.Page(browsertest.Landscape).For(t)
	p.Open(shop.Hub.Pages + "/")
	p.Sees("Set up a shop")
	p.Fill("The shop’s name", "Tin Lantern Finishing")
	p.Fill("First person", "io")
	p.Fill("Passphrase of the desk", "short")
	p.Fill("The same again", "short")
	p.Value(`(document.querySelector("form").noValidate = true, "")`) // as a browser that does not check
	p.Go("Set up")
	p.Sees("The passphrase is too short")
	p.Sees("Not written yet: look at Passphrase of the desk")
	p.Holds("The shop’s name", "Tin Lantern Finishing")
	p.Fill("Passphrase of the desk", browsertest.Passphrase)
	p.Fill("The same again", browsertest.Passphrase)
	p.Go("Set up")
	p.Sees("Invite the first tablet")
	p.Fill("What it is called", "bench 1")
	p.Go("Make an invitation")
	if strings.Contains(p.URL(), "/who") {
		p.Go("IO")
		p.Fill("What it is called", "bench 1")
		p.Go("Make an invitation")
	}
	p.Until(`document.querySelector("svg.qr") !== null`)
	text := regexp.MustCompile(`FETTLE1\.[A-Za-z0-9_.-]+`).FindString(p.Text())
	if text == "" {
		t.Fatalf("no invitation is shown: %s", p.Text())
	}
	w := begins(t, b, browsertest.Upright, shop.Joined("bench 1", text).Pages, "IO")
	p.Open(shop.Hub.Pages + "/")
	p.Sees("Start here")
	w.opens("LF")
	p.Sees(w.plate) // by itself
	w.does("received", "", "vehicle.received", "received")
	p.Complaints()

	// Who is not signed in sees nothing of the shop.
	stranger := house.Browser(t).Page(browsertest.Phone).For(t)
	stranger.Open(shop.Hub.Pages + "/job/" + w.job)
	stranger.Sees("Sign in")
	stranger.Gone(w.plate)
	stranger.Fill("Passphrase", "a wrong one entirely")
	stranger.Go("Sign in")
	stranger.Sees("This is not the desk’s passphrase")
}

// Without a terminal: a fresh machine becomes a hub with a bench, which lead to each other,
// and a second one joins it, by a picture of something else and a wrong text first, and then by a picture of the code.
func TestStartWithoutATerminal(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Fresh(t)
	b := house.Browser(t)
	p := b.Page(browsertest.Upright).For(t)
	p.Open(shop.Hub.Pages + "/")
	p.Sees("What is this machine to be?")
	p.Go("Set up a shop")
	p.Fill("The shop’s name", "Tin Lantern Finishing")
	p.Fill("First person", "io")
	p.Fill("Passphrase of the desk", browsertest.Passphrase)
	p.Fill("The same again", browsertest.Passphrase)
	p.Go("Set up")
	p.Sees("The shop is set up")
	p.OpenUntil(shop.Hub.Pages+"/people?first=yes", "this machine’s bench")
	p.Fill("What it is called", "bench 2")
	p.Go("Make an invitation")
	if strings.Contains(p.URL(), "/who") {
		p.Go("IO")
		p.Fill("What it is called", "bench 2")
		p.Go("Make an invitation")
	}
	text := regexp.MustCompile(`FETTLE1\.[A-Za-z0-9_.-]+`).FindString(p.Text())
	if text == "" {
		t.Fatalf("no invitation is shown: %s", p.Text())
	}
	code := filepath.Join(t.TempDir(), "invitation.png")
	p.Shot(code)
	p.Open(shop.Hub.Pages + "/")
	p.Go("Bench")
	p.Sees("Jobs on hand")
	p.Go("Desk")
	p.Sees("On hand")
	p.Complaints()

	second := house.Fresh(t)
	q := b.Page(browsertest.Phone).For(t)
	q.Open(second.Hub.Pages + "/")
	q.Go("Join a shop")
	q.Go("Join")
	q.Sees("Paste the invitation")
	q.Upload("#picture", photo(t, "removed", 4))
	q.Go("Join")
	q.Sees("No code is found")
	q.Fill("or its text", "FETTLE1.wrong")
	q.Go("Join")
	q.Sees("not an invitation")
	q.Upload("#picture", code) // goes before the text
	q.Go("Join")
	q.Sees("This machine has joined")
	q.Go("Open the bench")
	q.Sees("Jobs on hand")
	q.Open(second.Hub.Pages + "/") // the first page leads there as well
	q.Sees("Jobs on hand")
}

// TestJoinByPhone: a telephone is let in once with the code that the tablet
// shows, uses its pages, and is put out again.
func TestJoinByPhone(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	tablet := shop.Tablet("bench 1", "--phones", "127.0.0.1:0")
	b := house.Browser(t)
	w := begins(t, b, browsertest.Upright, tablet.Pages, "IO")
	w.takesOn(tablet, "LF")
	w.p.Open(w.pages + "/pair")
	code := w.p.Value(`document.querySelector(".code").textContent`)
	door := w.p.Value(`document.querySelector(".shoot .n").textContent`)
	if host, _, err := net.SplitHostPort(strings.TrimPrefix(strings.TrimSuffix(door, "/pair/code"), "https://")); err != nil || host != "127.0.0.1" {
		t.Fatalf("the code leads to %s", door)
	}
	site := strings.TrimSuffix(door, "/pair/code")

	phone := house.Browser(t).Page(browsertest.Phone).For(t)
	phone.Trust()
	phone.Open(site + "/job/" + w.job)
	phone.Sees("Use this phone at the bench")
	phone.Gone(w.plate)
	phone.Open(door)
	phone.Fill("Code", "AAAA-AAAA")
	phone.Fill("Name of this phone", "blue phone")
	phone.Go("Join")
	phone.Sees("pairing code")
	phone.Fill("Code", code)
	phone.Go("Join")
	phone.Sees(w.plate)
	at := &worker{t: t, p: phone, pages: site, job: w.job}
	phone.Open(site + "/who")
	phone.Go("IO")
	at.does("received", "", "vehicle.received", "received")

	// The code was for one, and who was let in can be put out.
	second := house.Browser(t).Page(browsertest.Phone).For(t)
	joinsBy(second, door, code, "another")
	second.Sees("This pairing code has already been used")
	w.p.Open(w.pages + "/pair")
	w.p.Sees("blue phone")
	w.p.Go("Forget this phone")
	phone.Open(site + "/")
	phone.Sees("Use this phone at the bench")
}

// Who was started without a way for telephones opens one on the page, and shuts it again: no
// restart, no terminal. It stays open over a restart, and who was let in is in again then.
func TestPhonesAreSwitchedOnAtTheTablet(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	tablet := shop.Tablet("bench 1", "--phones-at", "127.0.0.1:0")
	b := house.Browser(t)
	w := begins(t, b, browsertest.Upright, tablet.Pages, "IO")
	w.p.Open(w.pages + "/")
	w.p.Go("Use a phone")
	w.p.Sees("Phones cannot reach this tablet")
	w.p.Go("Let phones use these pages")
	w.p.Sees("Phones can reach this tablet")
	door := w.p.Value(`document.querySelector(".shoot .n").textContent`)
	code := w.p.Value(`document.querySelector(".code").textContent`)
	site := strings.TrimSuffix(door, "/pair/code")
	phone := house.Browser(t).Page(browsertest.Phone).For(t)
	joinsBy(phone, door, code, "blue phone")
	phone.Sees("Jobs on hand")
	phone.Open(site + "/pair") // who was let in lets nobody in, and puts nobody out
	phone.Sees("Phones are let in and removed at the tablet itself")
	phone.Refused()

	reached := func() bool {
		c, err := net.Dial("tcp", strings.TrimPrefix(site, "https://"))
		if err == nil {
			c.Close()
		}
		return err == nil
	}
	phone.Open("about:blank")
	w.p.Open(w.pages + "/pair")
	w.p.Go("Keep phones away")
	w.p.Sees("Phones cannot reach this tablet")
	w.p.Sees("blue phone")
	if reached() {
		t.Error("phones are to be kept away, and the tablet still listens for them")
	}
	w.p.Go("Let phones use these pages")
	w.p.Sees("Phones can reach this tablet")
	tablet.Kill()
	tablet.Start()
	phone.Open(site + "/")
	phone.Sees("Jobs on hand")
	w.p.Open(tablet.Pages + "/pair")
	w.p.Go("Keep phones away")
	w.p.Sees("Phones cannot reach this tablet")
	tablet.Kill()
	tablet.Start()
	if reached() {
		t.Error("after the next start the tablet listens for phones again")
	}
}

// joinsBy gives a pairing code in at a telephone.
func joinsBy(phone *browsertest.Page, door, code, name string) {
	phone.Trust()
	phone.Open(door)
	phone.Fill("Code", code)
	phone.Fill("Name of this phone", name)
	phone.Go("Join")
}
