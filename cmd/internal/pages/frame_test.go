package pages_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/browsertest"

	"github.com/chromedp/chromedp/kb"
)

// mostChrome is how much of a phone's height what is on every page may take.
const mostChrome = 0.12

// TestChrome: on a phone what stands on every page leaves the page its room, the
// bar at the bottom is one, and no field that has the focus lies below it.
func TestChrome(t *testing.T) {
	t.Parallel()
	shop, w := house.Shop(t), atTheBench(t, browsertest.Phone, "LF")
	desk := browsertest.SignedIn(t, shop, w.b, "/")
	desk.Resize(browsertest.Phone)
	for _, at := range []struct {
		p    *browsertest.Page
		from string
		path []string
	}{
		{w.p, w.pages, []string{"/", "/who", "/where", "/search", "/job/new", "/job/" + w.job, "/holds/" + w.job, "/record/" + w.job, "/pair",
			"/stage/received/job/" + w.job, "/write/film.measured/job/" + w.job + "/corner/LF/part/caliper", "/write/part.tagged/job/" + w.job + "/corner/LF/part/caliper", "/run/new/bake.started"}},
		{desk, shop.Hub.Pages, []string{"/", "/vehicles", "/shelf", "/people", "/routes", "/due", "/recurring", "/job/" + w.job, "/write/tool.registered/tool/new"}},
	} {
		for _, path := range at.path {
			if !browsertest.OneIn(3, "chrome of "+browsertest.Shape(path)) {
				continue
			}
			at.p.Open(at.from + path)
			chrome := at.p.Value(`(() => {
				const high = (e) => e ? e.getBoundingClientRect().height : 0, stuck = (e) => e && getComputedStyle(e).position === "fixed";
				const bars = [...document.querySelectorAll(".bar, .act.stay")].filter(stuck);
				return [(high(document.querySelector(".masthead")) + bars.filter((e) => e.matches(".bar")).reduce((n, e) => n + high(e), 0)) / innerHeight, bars.length].join(" "); })()`)
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
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	tablet, w := newBench(t, browsertest.Phone)
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

// TestTheme: how pages look is as the system says until somebody chooses, without
// a script, and stays so in that browser.
func TestTheme(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	tablet := house.Bench(t)
	p := house.Browser(t).Page(browsertest.Upright).For(t)
	p.NoScript()
	ground := func() string { return p.Value(`getComputedStyle(document.body).backgroundColor`) }
	p.Open(tablet.Pages + "/help")
	light := ground()
	p.Dark(true)
	dark := ground()
	if light == dark {
		t.Fatalf("light and dark are both %s", light)
	}
	for _, turn := range []struct{ press, look string }{{"light", light}, {"dark", dark}, {"as the system says", dark}} {
		p.Go(turn.press)
		p.Open(tablet.Pages + "/who")
		if now := ground(); now != turn.look {
			t.Errorf("after %q the ground is %s, want %s", turn.press, now, turn.look)
		}
		p.Open(tablet.Pages + "/help")
	}
}

// TestNowhere: an address without a page says so in the look, with a way on.
func TestNowhere(t *testing.T) {
	t.Parallel()
	tablet := house.Bench(t)
	p := house.Browser(t).Page(browsertest.Phone).For(t)
	for _, path := range []string{"/nowhere", "/job/nothere1", "/entry/what", "/holds/nothere1"} {
		p.Open(tablet.Pages + path)
		for _, on := range []string{"main a[href='/']", "main a[href='/search']", "main a[href='/help']", "link[rel=stylesheet]", "footer.bar .me"} {
			if !p.Has(on) {
				t.Errorf("%s has no %s: %s", path, on, p.Text())
			}
		}
	}
}

// TestLinesOfTheFrame: on a tablet, lying or upright, the desk's tabs stand on one line and
// what the bench's bar says on two; where a shop is called long, nothing sticks out.
func TestLinesOfTheFrame(t *testing.T) {
	t.Parallel()
	shop, w := house.Shop(t), atTheBench(t, browsertest.Upright, "LF")
	desk := browsertest.SignedIn(t, shop, w.b, "/")
	for _, size := range browsertest.Sample("lines", []browsertest.Size{browsertest.Upright, {Name: "lying", Width: 1180, Height: 820, Touch: true}, {Name: "small and lying", Width: 1024, Height: 768, Touch: true}}) {
		for p, at := range map[*browsertest.Page]string{w.p: w.pages, desk: shop.Hub.Pages} {
			p.Resize(size)
			p.Open(at + "/")
			if p == w.p { // with all that waits beside it, it takes the lines that it needs
				p.Until(`document.querySelector("#lamp .more").textContent.trim() === "nothing waits"`)
				p.Value(`String(document.querySelectorAll("#lamp .counts b").forEach((b) => { b.textContent = "50 123"; }))`) // of a year
			}
			lines := p.Value(`[...document.querySelectorAll(".tabs, #lamp > span")].map((e) => {
				const r = document.createRange(); r.selectNodeContents(e);
				const all = [...r.getClientRects()].filter((r) => r.width > 1).map((r) => r.y + r.height / 2).sort((a, b) => a - b);
				return all.filter((y, i) => i === 0 || y - all[i - 1] > 6).length; }).join(" ")`)
			var first, second int
			if n, _ := fmt.Sscan(lines, &first, &second); n == 0 || n == 1 && first > 2 || n == 2 && (first > 1 || second > 1) {
				t.Errorf("%s%s: lines of the frame: %s", at, size.Name, lines)
			}
			for _, found := range p.Overflow() {
				t.Errorf("%s: %s", size.Name, found)
			}
		}
	}
}

// TestKeys: the search and what it finds are reached without a pointer.
func TestKeys(t *testing.T) {
	t.Parallel()
	shop, w := house.Shop(t), atTheBench(t, browsertest.Landscape, "LF")
	desk := browsertest.SignedIn(t, shop, w.b, "/")
	desk.OpenUntil(shop.Hub.Pages+"/", w.plate)
	desk.Press("/")
	desk.Until(`document.activeElement.id === "find"`)
	desk.Fill("#find", "W. Tarn")
	desk.Press("\r")
	desk.Sees("Found for")
	desk.Press("/")
	desk.Press(kb.ArrowDown)
	desk.Press(kb.ArrowDown)
	desk.Press(kb.ArrowUp)
	first := desk.Value(`document.activeElement.closest("#found > li:first-child") ? document.activeElement.href : ""`)
	if first == "" {
		t.Fatalf("the focus is not on the first that was found: %s", desk.Text())
	}
	desk.Press("\r")
	desk.Until(fmt.Sprintf(`location.href === %q`, first))
}

// TestSaidAloud: who cannot see hears that a press was done, and is led to the
// field where it was not.
func TestSaidAloud(t *testing.T) {
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	w.p.Open(w.pages + "/write/note.made/job/" + w.job)
	w.p.Go("Stamp it")
	w.p.Until(`document.activeElement.closest(".field.bad") !== null`)
	w.p.Fill("Remark", "valve cap missing")
	w.p.Go("Stamp it")
	w.p.Until(`document.getElementById("said").textContent === "Done: Stamp it"`)
}

// TestNotRunning: where the program does not run, the browser shows our page, which
// gives way as soon as it runs again and has kept nothing.
func TestNotRunning(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	tablet := house.Shop(t).Tablet("bench 1")
	p := house.Browser(t).Page(browsertest.Upright).For(t)
	p.Worker()
	p.Open(tablet.Pages + "/help")
	p.Until(`navigator.serviceWorker.controller !== null`)
	p.Value(`(window.kept = null, caches.keys().then((k) => window.kept = k.length), "")`)
	p.Until(`window.kept === 0`)
	p.Value(`(window.icons = null, fetch(document.querySelector("[rel=manifest]").href).then((a) => a.json()).then(async (m) => {
		const all = await Promise.all(m.icons.map(async (i) => { const a = await fetch(i.src); return a.ok && a.headers.get("Content-Type").startsWith(i.type); }));
		window.icons = all.every((i) => i) && m.start_url === "/" && m.display === "standalone"; }), "")`)
	p.Until(`window.icons === true`)
	tablet.Kill()
	p.Open(tablet.Pages + "/who")
	p.Sees("The program on this machine is not running")
	if p.Has("form") {
		t.Error("something that was there before is shown")
	}
	tablet.Start()
	p.Sees("Tap your name")
}

// TestTheKeysAreChosen: numbers are typed on large keys of the page after a touch, until
// somebody has the device's own keyboard back, without a script, and stays so in that browser.
func TestTheKeysAreChosen(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	w := atTheBench(t, browsertest.Phone, "LF")
	touches := func(open bool) {
		t.Helper()
		w.p.Open(w.pages + "/job/new")
		w.p.Until(fmt.Sprintf(`(document.getElementById("keypad") !== null) === %v`, open))
		w.p.Touch("[name=odometer]")
		w.p.Until(fmt.Sprintf(`document.activeElement.name === "odometer" && (document.querySelector("#keypad:not([hidden])") !== null) === %v`, open))
	}
	touches(true)
	w.p.Keys("84210")
	w.p.Holds("[name=odometer]", "84210")
	w.p.Until(`document.querySelector("#keypad output").textContent === "84210 km"`)
	for _, turn := range []struct {
		press string
		open  bool
	}{{"the device’s keyboard", false}, {"large keys on the page", true}} {
		w.p.Open(w.pages + "/help")
		w.p.Go(turn.press)
		w.p.Until(`document.querySelector('[name=keypad][aria-pressed=true]').innerText === ` + fmt.Sprintf("%q", turn.press))
		touches(turn.open)
	}
}
