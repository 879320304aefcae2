package browsertest

import (
	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/security"
)

// Trust lets a certificate pass that the browser does not know, as a person
// does on the first visit.
func (p *Page) Trust() {
	p.b.t.Helper()
	call(p, "trust the certificate", security.SetIgnoreCertificateErrors, security.SetIgnoreCertificateErrorsParams{Ignore: true})
}

// Allow lets pages use the camera, as somebody has who was asked once.
func (p *Page) Allow() {
	p.b.t.Helper()
	call(p, "allow the camera", browser.SetPermission, browser.SetPermissionParams{Permission: &browser.PermissionDescriptor{Name: "camera"}, Setting: browser.PermissionSettingGranted})
}

// Dark chooses the dark theme, or the light one.
func (p *Page) Dark(on bool) {
	p.b.t.Helper()
	p.media.dark = on
	p.emulate()
}

// Still asks for no motion.
func (p *Page) Still() {
	p.b.t.Helper()
	p.media.still = true
	p.emulate()
}

// Paper shows the page as it is printed, or on the screen again.
func (p *Page) Paper(on bool) {
	p.b.t.Helper()
	p.media.paper = on
	p.emulate()
}

// media is what a page is shown on. The browser is always told all of it.
type media struct{ dark, still, paper bool }

func (p *Page) emulate() {
	p.b.t.Helper()
	say := func(on bool, yes, no string) string {
		if on {
			return yes
		}
		return no
	}
	call(p, "choose how it is shown", emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: say(p.media.paper, "print", "screen"), Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: say(p.media.dark, "dark", "light")},
			{Name: "prefers-reduced-motion", Value: say(p.media.still, "reduce", "no-preference")},
		}})
}

// Grey shows the page as somebody sees it who sees no colours.
func (p *Page) Grey() {
	p.b.t.Helper()
	call(p, "take the colours away", emulation.SetEmulatedVisionDeficiency, emulation.SetEmulatedVisionDeficiencyParams{Type: emulation.SetEmulatedVisionDeficiencyTypeAchromatopsia})
}

// NoScript switches scripts of pages off. What a test evaluates runs all the
// same: it comes from the debugger and not from the page.
func (p *Page) NoScript() {
	p.dead = true
	call(p, "switch scripts off", emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
}

// Offline cuts this tab off, or lets it back.
func (p *Page) Offline(off bool) {
	rule := cut{Offline: off, Rules: []*network.Conditions{{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}}}
	call(p, "cut the line", cdp.Command[cut, network.EmulateNetworkConditionsByRuleResult]{Method: network.CommandEmulateNetworkConditionsByRule}, rule)
	call(p, "say so", network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1})
}

// cut asks for the line to be cut. Chromium 148 asks for it beside the rules, later ones in
// each rule.
type cut struct {
	Offline bool                  `json:"offline"`
	Rules   []*network.Conditions `json:"matchedNetworkConditions"`
}
