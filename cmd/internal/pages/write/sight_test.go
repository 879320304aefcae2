package write_test

import (
	"fmt"
	"net/http/httptest"
	"net/url"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal"

	"github.com/chromedp/chromedp/kb"
)

// screens are those that pages are made for, and each at twice the size, which
// leaves half of its pixels.
func screens() (list []browsertest.Size) {
	for _, s := range []browsertest.Size{browsertest.Phone, browsertest.Upright, {Name: "desk", Width: 1280, Height: 900}} {
		twice := s.Twice()
		list = append(list, s, twice)
	}
	return list
}

// inView says what of the bar is not in view as the page is scrolled now, "" if
// all of it is: the button whole, and the first sentence beside it.
const inView = `(() => {
	const say = [];
	for (const [name, e] of [["the bar", document.getElementById("act")], ["the button", document.querySelector("#stamp button")], ["the verdict", document.getElementById("verdict")]]) {
		if (!e) { say.push(name + " is not there"); continue; }
		const r = e.getBoundingClientRect();
		if (r.top < 0 || r.left < 0 || r.bottom > innerHeight + .5 || r.right > innerWidth + .5 || r.height === 0) say.push(name + " is at " + [r.left, r.top, r.right, r.bottom].map(Math.round) + " of " + innerWidth + " by " + innerHeight);
	}
	const b = document.querySelector("#stamp button").getBoundingClientRect(), over = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
	if (!document.getElementById("stamp").contains(over)) say.push("something covers the button");
	const said = document.getElementById("verdict");
	if (said.clientHeight < 50) say.push("only " + said.clientHeight + " px of the verdict");
	if (innerHeight > 800 && said.scrollHeight > said.clientHeight + 1) say.push("the verdict is cut off");
	return say.join("; ");
})()`

// covered says which part of what has the focus the bar covers, "" if none.
const covered = `(() => {
	const e = document.activeElement, bar = document.getElementById("act");
	if (!e || e === document.body || bar.contains(e) || e.closest(".seen, .skip")) return "";
	const box = e.closest("label") ?? e, r = box.getBoundingClientRect(), top = bar.getBoundingClientRect().top;
	const room = top - 0;
	if (r.bottom > top + .5 && r.height < room || r.top > top) return (e.name || e.innerText || e.tagName) + " reaches " + Math.round(r.bottom) + ", and the bar begins at " + Math.round(top);
	return "";
})()`

// TestInSight: the verdict and its button are in view wherever the page is
// scrolled, with a script as it is typed, and never cover the field that somebody
// is at: at one size with a script and at one without, or at every size.
func TestInSight(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	b := house.Browser(t)
	for _, script := range []bool{true, false} {
		for _, size := range browsertest.Sample(fmt.Sprintf("in sight, script %v", script), screens()) {
			t.Run(fmt.Sprintf("%s, script %v", size.Name, script), func(t *testing.T) {
				s := newShop(t)
				s.write(lf, &journal.LineOpening{At: "banjo"})
				server := httptest.NewServer(s.handler)
				t.Cleanup(server.Close)
				p := b.Page(size).For(t)
				if !script {
					p.NoScript()
				}
				_, action, token := s.open(torquePage)
				s.post(action, with(tight("27"), url.Values{"torque.unit": {"N·m"}, "once": {token}, "do": {"draft"}}), "figure")
				p.Open(server.URL + torquePage)
				p.Fill("[name=torque]", "270")
				if script {
					p.Sees("Stamp 270 N·m all the same")
				} else {
					p.Go("Work it out")
				}
				look := func(when string) {
					t.Helper()
					for _, at := range []string{"0", "document.body.scrollHeight / 2", "document.body.scrollHeight"} {
						if not := p.Value(`(scrollTo({top: ` + at + `, behavior: "instant"}), ` + inView + `)`); not != "" {
							t.Errorf("%s, scrolled to %s: %s", when, at, not)
						}
					}
				}
				look("as it is typed")
				for range 60 {
					p.Press(kb.Tab)
					if over := p.Value(covered); over != "" {
						t.Errorf("the bar covers %s", over)
					}
					if p.Value(`document.activeElement.closest("#stamp") ? "end" : ""`) == "end" {
						break
					}
				}
				p.Go("#stamp .main")
				p.Sees("Yes, stamp 270 N·m all the same")
				look("armed")
				if n := len(s.lines(journal.TorqueApplied)); n > 0 {
					t.Fatal("one tap stamped 270 N·m for 27")
				}
				if script { // what is changed is armed no more
					p.Fill("[name=torque]", "27")
					p.Until(`!document.querySelector("[name=sure]") && document.querySelector("#stamp").innerText.trim().startsWith("Stamp 27 N·m")`)
					p.Fill("[name=torque]", "270")
					p.Until(`document.querySelector("#stamp").innerText.trim().startsWith("Stamp 270 N·m")`)
				} else {
					p.Go("#stamp .main")
					p.Until(`!document.querySelector("[name=sure]")`)
					if n := len(s.lines(journal.TorqueApplied)); n != 1 {
						t.Errorf("the second tap stamped it %d times", n)
					}
				}
			})
		}
	}
}
