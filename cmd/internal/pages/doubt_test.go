package pages_test

import (
	"crypto/rand"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal"
)

// leads is where the link with a text leads to.
func leads(p *browsertest.Page, text string) string {
	return p.Value(`(([...document.querySelectorAll("a")].find((a) => a.innerText.includes("` + text + `"))) ?? {getAttribute: () => ""}).getAttribute("href")`)
}

// TestAnOrderInDoubt: two tablets that are cut off work on one job, and the
// pages say that nobody knows what came first. Who did neither cannot say it;
// who did one of the two does, and the pages say how the hold point stands then. The
// pedal is tried again instead.
func TestAnOrderInDoubt(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	b := house.Browser(t)
	w := begins(t, b, browsertest.Upright, one.Pages, "IO")
	w.takesOn(one, "LF")
	other := begins(t, b, browsertest.Upright, two.Pages, "IO")
	other.p.Open(two.Pages + "/")
	other.p.Sees(w.plate)
	one.Line.Cut()
	two.Line.Cut()
	add := func(on *browsertest.Program, more ...string) {
		shop.Command("", append([]string{"add", "--data", on.Dir, "--by", "io", "--job", w.job}, more...)...)
	}
	add(one, "vehicle.received", "agreed=true")
	add(one, "pedal.checked", "feel=firm")
	add(two, "part.removed", "--corner", "LF", "--part", "caliper", "condition=rusty")
	add(two, "line.opened", "--corner", "LF", "at=banjo")
	one.Line.Mend()
	two.Line.Mend()

	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Sees("Say which was first") // by itself, when the line is mended
	w.p.Open(w.pages + "/")
	doubts := func(n int) string {
		return fmt.Sprintf(`[...document.querySelectorAll("a.need")].some((a) => a.innerText.includes(%q) && a.innerText.includes("order in doubt: %d"))`, w.plate, n)
	}
	w.p.Until(doubts(2))
	desk := browsertest.SignedIn(t, shop, b, "/")
	desk.Sees("order in doubt: vehicle")
	desk.Open(shop.Hub.Pages + "/job/" + w.job)
	desk.Sees("Say which was first")
	browsertest.Every(t, desk, shop.Hub.Pages, browsertest.DeskSet, slices.Values([]string{"/", "/job/" + w.job}))

	w.p.Open(w.pages + "/who")
	w.p.Go("JR")
	w.p.Open(w.pages + "/job/" + w.job)
	order, again := leads(w.p, "Say which was first"), leads(w.p, "Do the check again")
	w.p.Go("Say which was first")
	w.p.Sees("Only somebody who did one of the two can say which was done first.")
	w.p.Refused()
	w.p.Open(w.pages + again)
	w.p.Sees("This check has to be done again.")
	w.p.Sees("on tablet bench 2")
	if w.p.Has("[name=first]") {
		t.Error("a word on a check of brakes is asked for")
	}

	w.p.Open(w.pages + "/who")
	w.p.Go("IO")
	w.p.Complaints() // the refused page listened too, and drew itself again while others wrote
	browsertest.Every(t, w.p, w.pages, browsertest.BenchSet, slices.Values([]string{"/", "/job/" + w.job, "/stage/received/job/" + w.job, order, again}))
	plain := &worker{t: t, p: b.Page(browsertest.Upright).For(t), pages: w.pages, job: w.job}
	plain.p.NoScript()
	plain.p.Open(w.pages + "/who")
	plain.p.Go("IO")
	plain.p.Open(w.pages + "/stage/received/job/" + w.job)
	plain.p.Go("Say which was first")
	plain.p.Sees("tablet bench 1")
	plain.p.Sees("tablet bench 2")
	plain.p.Set("how", "the car was still on its wheels")
	plain.p.Go("Stamp the order")
	plain.p.Sees("Choose one.")
	plain.p.Refused()
	plain.p.Click("on tablet bench 1")
	plain.p.Go("Stamp the order")
	plain.p.Sees("How it stands now")
	if at := plain.p.Value(`document.activeElement.innerText.replace(/\s+/g, " ")`); !strings.Contains(at, ": met") {
		t.Errorf("the page begins to be read at %q", at)
	}
	settled := strings.TrimPrefix(plain.p.URL(), w.pages)
	browsertest.Every(t, w.p, w.pages, browsertest.BenchSet, slices.Values([]string{strings.TrimSuffix(settled, "#settled")}))
	w.p.Open(w.pages + "/")
	w.p.Until(doubts(1)) // the pedal
	desk.Open(shop.Hub.Pages + again)
	desk.Go("IO") // nobody said who works at the desk
	browsertest.Every(t, desk, shop.Hub.Pages, browsertest.DeskSet, slices.Values([]string{again}))
}

// TestWhatCountsForNothing: what somebody with a tablet's keys writes that only
// the hub may write stands at the desk, with the reason.
func TestWhatCountsForNothing(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	shop := house.Shop(t)
	name := "bench of " + house.Plate() // no other test's
	tablet := shop.Tablet(name)
	b := house.Browser(t)
	desk := browsertest.SignedIn(t, shop, b, "/uncounted")
	desk.Sees("Entries that do not count")
	tablet.Kill()
	f, err := folder.Open(t.Context(), tablet.Dir, folder.Options{Now: time.Now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	// Past all that refuses it.
	_, err = f.Log.Append(t.Context(), journal.Draft{Subject: "person/zz", By: "io", Data: &journal.Person{Person: "zz", Initials: "ZZ", Duties: []journal.Duty{"release"}}})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	tablet.Start()
	desk.Sees("Only the hub may write this") // by itself
	desk.Sees("Tablet " + name)
	desk.Sees("here since")
	browsertest.Every(t, desk, shop.Hub.Pages, browsertest.DeskSet, slices.Values([]string{"/uncounted"}))
	desk.Open(shop.Hub.Pages + "/")
	desk.Sees("tablet " + name + ": 1")
	desk.Go("[href='/uncounted']")
	desk.Go("a person works here")
	desk.Sees("so it does not count")
	desk.Open(shop.Hub.Pages + "/people")
	desk.Sees("tablet " + name + ": 1")
	if desk.Has("[href$='/zz'], [href$='=zz'], [href*='=zz&']") {
		t.Error("the person is on the register")
	}
}
