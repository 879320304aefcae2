package write_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// at is the pages of a shop at an address.
func (s *shop) at(t *testing.T) string {
	t.Helper()
	site := httptest.NewServer(s.handler)
	t.Cleanup(site.Close)
	return site.URL
}

// TestLiveCamera takes photographs with the camera on the page: several in a row,
// one again, and no file is chosen anywhere.
func TestLiveCamera(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	p := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), "").Page(browsertest.Phone)
	p.Open(s.at(t) + "/write/part.refitted/" + string(lfCaliper))
	p.Until(`document.querySelector("[data-camera]").hidden`)
	p.Taps()
	p.Click(".big")
	p.Sees("The camera is on")
	p.Until(`document.querySelector("video").videoWidth > 300`)
	// Nothing has to be scrolled: the shutter is in sight below what the camera sees.
	p.Until(`document.querySelector(".big").getBoundingClientRect().bottom < document.querySelector(".act").getBoundingClientRect().top`)
	p.Click(".big")
	p.Until(`document.querySelectorAll(".snap").length === 1`)
	p.Sees("The photograph is kept")
	p.Click(".big")
	p.Until(`document.querySelectorAll(".snap").length === 2`)
	if n := p.Taps(); n != 3 {
		t.Errorf("two photographs take %d taps", n)
	}
	first := p.Value(`document.querySelectorAll(".snap img")[0].src`)
	second := p.Value(`document.querySelectorAll(".snap img")[1].src`)
	p.Click(`[value^="again:"]`)
	p.Sees("takes the place of this one")
	p.Click(".big")
	p.Until(`document.querySelectorAll(".snap").length === 2 && document.querySelectorAll(".snap img")[0].src !== "` + first + `" && document.querySelectorAll(".snap img")[1].src === "` + second + `"`)
	p.Click("[data-stop]")
	p.Until(`document.querySelector("[data-camera]").hidden && document.querySelector("video").srcObject === null`)
	if seen := p.Complaints(); len(seen) > 0 {
		t.Errorf("the browser complains: %q", seen)
	}
}

// Where there is no camera for the page, one sentence says so, and the shutter is the
// field for files again.
func TestNoLiveCamera(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	page := s.at(t) + "/write/part.refitted/" + string(lfCaliper)
	file := filepath.Join(t.TempDir(), "chosen.jpg")
	if err := os.WriteFile(file, photo(9), 0o600); err != nil {
		t.Fatal(err)
	}
	with := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "with"), "")
	none := house.Browser(t)
	for _, c := range map[string]struct {
		b    *browsertest.Browser
		says string
		with string
	}{
		"refused":   {with, "This browser may not use the camera.", `navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError"))`},
		"none":      {none, "No camera was found.", ""},
		"in use":    {with, "The camera is in use by another program.", `navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotReadableError"))`},
		"not known": {with, "Several from this device", `Object.defineProperty(Navigator.prototype, "mediaDevices", {value: undefined})`},
	} {
		p := c.b.Page(browsertest.Phone).For(t)
		p.Open(page)
		if c.with != "" {
			p.Value(`(` + c.with + `, "")`)
		}
		p.Click(".big")
		p.Sees(c.says)
		n := p.Value(`String(document.querySelectorAll(".snap").length)`)
		p.Upload("[data-snap]", file)
		p.Until(`document.querySelector(".snap.fresh") !== null`)
		if n != "0" {
			continue // the same picture is there once
		}
		p.Value(`(document.querySelector(".snap").classList.remove("fresh"), "")`)
		p.Upload("[data-snap][multiple]", file)
		p.Until(`document.querySelectorAll(".snap.fresh").length === 1`)
	}
}

// What is wanted has the camera on by itself, once it was allowed; a page that nobody
// sees has it off; and a photograph that the tablet could not take waits.
func TestLiveCameraByItself(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	site := s.at(t)
	s.desk = true
	p := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), "").Page(browsertest.Upright)
	p.Allow()
	p.Open(site + "/write/tool.checked/tool/tw-1")
	p.Sees("The camera is on")
	p.Until(`document.querySelector("video").videoWidth > 300`)
	p.Value(`(Object.defineProperty(document, "hidden", {value: true, configurable: true}), document.dispatchEvent(new Event("visibilitychange")), "")`)
	p.Until(`document.querySelector("video").srcObject === null`)
	p.Value(`(delete document.hidden, document.dispatchEvent(new Event("visibilitychange")), "")`)
	p.Until(`document.querySelector("video").videoWidth > 300`)

	p.Offline(true)
	p.Click(".big")
	p.Sees("It waits on this page")
	p.Offline(false)
	p.Click("Send the photograph again")
	p.Sees("The photograph is kept")
	p.Until(`document.querySelectorAll(".snap").length === 1`)
	p.Refused() // what went wrong on the line

	// The same view from before lies over it, and does not where it is not wanted.
	_, action, token := s.open("/write/part.tagged/" + string(lfCaliper))
	s.post(action, url.Values{"once": {token}, "do": {"photo"}, "role": {"number and tag"}}, "", upload{"picture", "p.jpg", photo(1)})
	s.post(action, url.Values{"once": {token}, "do": {"save"}, "sure": {"1"}, "tag": {"17"}, "metal": {"iron"}}, "").want(t, http.StatusSeeOther)
	p.Open(site + "/write/part.refitted/" + string(lfCaliper))
	p.Click(".big")
	p.Sees("LF caliper, number and tag")
	p.Until(`document.querySelector("img[data-ghost]").checkVisibility()`)
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "camera-upright.png"))
		p.Resize(browsertest.Phone)
		p.Dark(true)
		p.Shot(filepath.Join(dir, "camera-phone-dark.png"))
	}
	if seen := append(p.Targets(60), p.SmallText(18)...); len(seen) > 0 {
		t.Errorf("too small for gloves: %q", seen)
	}
	p.Click("Earlier view")
	p.Until(`!document.querySelector("img[data-ghost]").checkVisibility()`)
}
