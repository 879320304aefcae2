package write_test

import (
	"fmt"
	"path/filepath"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// A tick that follows what is typed, and that somebody takes off, is off: the form is not
// stamped with the others.
func TestUntickedInTheBrowser(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := onStands(t)
	was := len(s.lines(journal.PartTagged))
	p := house.Browser(t).Page(browsertest.Upright).For(t)
	p.Open(s.at(t) + nowPage)
	of := func(path string) string {
		return fmt.Sprintf(`[...document.querySelectorAll("[data-item]")].find((f) => f.querySelector('[name$="_page"]').value === %q)`, path)
	}
	p.Value(`(() => { const tag = ` + of(rfTagged) + `.querySelector('[name$="~tag"]'); tag.value = "RF-7"; tag.dispatchEvent(new Event("input", {bubbles: true})); return ""; })()`)
	p.Until(of(rfTagged) + `.querySelector("[data-now]").checked`)
	p.Value(`(` + of(rfTagged) + `.querySelector("[data-now]").click(), ` + of(rfOff) + `.querySelector("[data-now]").click(), "")`)
	p.Sees("Kept on this tablet")
	p.Go("#stamp button.main")
	if p.Has("[name=sure]") { // without a photograph
		p.Go("#stamp button.main")
	}
	if p.Has(".problem, [name=sure]") {
		t.Errorf("not stamped: %s", p.Text())
	}
	if n := len(s.lines(journal.PartTagged)); n != was {
		t.Error("what was unticked is stamped")
	}
}

// What is pressed while a draft is under way is what is done, also where its button was
// drawn anew meanwhile.
func TestPressedWhileADraftIsUnderWay(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	id := s.write(lf, &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("27 N.m"), Spec: "banjo", Tool: "tw-1"})
	p := house.Browser(t).Page(browsertest.Upright).For(t)
	p.Open(s.at(t) + "/correct/" + id.String())
	// The answer to the draft waits until the other button was pressed.
	p.Value(`(() => { const ask = fetch; const pressed = new Promise((done) => document.addEventListener("submit", done, true)); window.fetch = async (...what) => { const answer = await ask(...what); await pressed; return answer; }; return ""; })()`)
	p.Value(`(() => { const torque = document.querySelector("[name=torque]"); torque.value = "270"; torque.dispatchEvent(new Event("change", {bubbles: true})); return ""; })()`)
	p.Go("Strike out without replacement")
	if p.Has("[name=sure]") {
		p.Go("#stamp button.main")
	}
	l := s.lines(journal.EntryCorrected)
	if len(l) != 1 || len(l[0].Effect().(*journal.Correction).Data) > 0 {
		t.Errorf("corrected: %+v", l)
	}
}

// A shutter that is pressed twice before the camera is there starts one camera, which can
// be switched off.
func TestOneCameraIsStarted(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	p := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), "").Page(browsertest.Phone)
	p.Open(s.at(t) + "/write/part.refitted/" + string(lfCaliper))
	p.Value(`(() => { window.started = []; const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices); window.asked = 0; navigator.mediaDevices.getUserMedia = async (wish) => { for (const second = asked++; second && !document.querySelector("[data-camera-says]").textContent.includes("is on");) await new Promise(requestAnimationFrame); const got = await ask(wish); started.push(got); return got; }; return ""; })()`)
	p.Value(`(() => { const shutter = document.querySelector("input[data-snap][capture]"); shutter.click(); shutter.click(); return ""; })()`)
	p.Sees("The camera is on")
	p.Until(`document.querySelector("video").videoWidth > 300`)
	p.Until(`started.length === asked`)
	p.Click("[data-stop]")
	p.Until(`document.querySelector("video").srcObject === null`)
	p.Until(`started.length > 0 && started.every((s) => s.getTracks().every((t) => t.readyState === "ended"))`)
}
