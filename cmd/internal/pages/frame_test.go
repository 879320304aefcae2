package pages_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/browsertest"
)

// mostChrome is how much of a phone's height what is on every page may take.
const mostChrome = 0.12

// TestChrome: on a phone what stands on every page leaves the page its room, the
// bar at the bottom is one, and no field that has the focus lies below it.
func TestChrome(t *testing.T) {
	t.Parallel()
	shop, tablet, b, w := newBench(t, browsertest.Phone)
	desk := signedIn(t, shop, b, "/")
	desk.Resize(browsertest.Phone)
	for _, at := range []struct {
		p    *browsertest.Page
		from string
		path []string
	}{
		{w.p, tablet.Pages, []string{"/", "/who", "/where", "/search", "/job/new", "/job/" + w.job, "/holds/" + w.job, "/record/" + w.job, "/pair",
			"/stage/received/job/" + w.job, "/write/film.measured/job/" + w.job + "/corner/LF/part/caliper", "/write/part.tagged/job/" + w.job + "/corner/LF/part/caliper", "/run/new/bake.started"}},
		{desk, shop.Hub.Pages, []string{"/", "/vehicles", "/shelf", "/people", "/routes", "/due", "/recurring", "/job/" + w.job, "/write/tool.registered/tool/new"}},
	} {
		for _, path := range at.path {
			at.p.Open(at.from + path)
			chrome := at.p.Value(`(() => {
				const high = (e) => e ? e.getBoundingClientRect().height : 0, stuck = (e) => e && getComputedStyle(e).position === "fixed";
				const bars = [...document.querySelectorAll(".bar, .act.stay")].filter(stuck);
				return [(high(document.querySelector(".masthead")) + bars.reduce((n, e) => n + high(e), 0)) / innerHeight, bars.length].join(" "); })()`)
			var part float64
			var bars int
			if _, err := fmt.Sscan(chrome, &part, &bars); err != nil || part > mostChrome || bars > 1 {
				t.Errorf("%s: %.3f of the phone's height, %d bars (%v)", path, part, bars, err)
			}
			at.p.Value(`(document.querySelectorAll("main details").forEach((d) => d.open = true), "")`)
			hidden := at.p.Value(`[...document.querySelectorAll("main a[href], main input, main select, main textarea, main button, main summary")].filter((e) => e.checkVisibility() && e.type !== "hidden" && !e.closest(".seen, .act") && e.tabIndex >= 0).map((e) => {
				e.focus();
				const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = Math.min(r.bottom, r.y + 60) - 2, top = document.elementFromPoint(x, y);
				return top?.closest(".bar, .act") ? (e.name || e.innerText) + " at " + Math.round(r.y) : ""; }).filter((s) => s).join("; ")`)
			if hidden != "" {
				t.Errorf("%s: below the bar: %s", path, hidden)
			}
		}
		if found := at.p.Overflow(); len(found) > 0 {
			t.Error(found)
		}
	}
}

// TestLamp: within three seconds of a change either way the page says whether
// the hub is there, without a reload.
func TestLamp(t *testing.T) {
	t.Parallel()
	_, tablet, _, w := newBench(t, browsertest.Phone)
	w.p.Open(w.pages + "/job/" + w.job)
	w.p.Sees("Hub in reach")
	w.p.Until(`document.getElementById("said") !== null`)
	for _, turn := range []struct {
		do  func()
		say string
	}{
		{tablet.Line.Cut, "No hub since "}, {tablet.Line.Mend, "Hub in reach"}, {tablet.Line.Cut, "Entries are safe here."}, {tablet.Line.Mend, "nothing waits"},
	} {
		at := time.Now()
		turn.do()
		w.p.Sees(turn.say)
		took := time.Since(at)
		t.Logf("%q after %s", turn.say, took.Round(10*time.Millisecond))
		if took > 3*time.Second {
			t.Errorf("%q only after %s", turn.say, took)
		}
	}
	if said := w.p.Value(`document.getElementById("said").textContent`); said != "Hub in reach" {
		t.Errorf("who cannot see was told %q", said)
	}

	// Where the program itself ends, the page says so; when it is back, it shows what there is.
	tablet.Kill()
	w.p.Sees("This tablet’s program does not answer.")
	tablet.Start()
	w.p.Sees("Hub in reach")
	if text := w.p.Text(); strings.Contains(text, "does not answer") {
		t.Error(text)
	}
	w.p.Refused()
}
