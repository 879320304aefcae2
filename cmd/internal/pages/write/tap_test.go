package write_test

import (
	"net/http/httptest"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"

	"github.com/chromedp/chromedp/kb"
)

// A finger on a drawing fills in which drawing it is and where on it, and shows it
// there; a key chooses the drawing alone, and where on it is typed. That is so with a
// script and without one, and what was typed before stays.
func TestATapFillsThePlace(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	for name, script := range map[string]bool{"with a script": true, "without a script": false} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			server := httptest.NewServer(s.handler)
			t.Cleanup(server.Close)
			p := house.Browser(t).Page(browsertest.Upright)
			if !script {
				p.NoScript()
			}
			p.Open(server.URL + "/write/defect.found/" + string(lfCaliper))
			p.Click("pinhole")
			p.Fill("Where", "by the bridge")
			p.Click("#drawings > summary")
			p.Go(`[name="tap:floating caliper, outer side"]`) // in its middle
			for field, want := range map[string]string{"x": "50.0", "y": "50.0", "face": "by the bridge"} {
				if got := p.Value(`document.querySelector("[name=` + field + `]").value`); got != want {
					t.Errorf("%s is %q, want %q", field, got, want)
				}
			}
			chosen := func(want map[string]string) {
				t.Helper()
				for field, want := range want {
					if got := p.Value(`document.querySelector("[name=` + field + `]:checked")?.value ?? ""`); got != want {
						t.Errorf("%s is %q, want %q", field, got, want)
					}
				}
			}
			chosen(map[string]string{"outline": "floating caliper, outer side", "looks": "pinhole"})
			if !p.Has(`#drawings[open] .over circle[cx="160.0"][cy="120.0"]`) {
				t.Error("the place that was tapped is not shown on the drawing")
			}

			// By keys: a press on the other drawing chooses it and claims no place.
			if reached := strings.Join(p.Walk(), "\n"); !strings.Contains(reached, "INPUT tap:floating caliper, inner side") {
				t.Errorf("the keyboard reaches only\n%s", reached)
			}
			p.Value(`document.querySelector('[name="tap:floating caliper, inner side"]').focus() ?? ""`)
			p.Press(kb.Enter)
			p.Until(`document.querySelector("[name=outline]:checked")?.value === "floating caliper, inner side"`)
			chosen(map[string]string{"outline": "floating caliper, inner side", "looks": "pinhole"})
			for _, field := range []string{"x", "y"} {
				if got := p.Value(`document.querySelector("[name=` + field + `]").value`); got != "" {
					t.Errorf("by a key %s is %q", field, got)
				}
			}
			p.Until(`document.activeElement.name === "x"`) // which comes next, and is typed at once
			p.Press("4")
			p.Until(`document.querySelector("[name=x]").value === "4"`)
		})
	}
}
