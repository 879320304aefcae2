package write_test

import (
	"net/http/httptest"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// A finger on a drawing fills in which drawing it is and where on it, with a
// script and without one, and what was typed before stays.
func TestATapFillsThePlace(t *testing.T) {
	for name, script := range map[string]bool{"with a script": true, "without a script": false} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			server := httptest.NewServer(s.handler)
			t.Cleanup(server.Close)
			p := browsertest.Start(t, t.TempDir()).Page(browsertest.Upright)
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
			for field, want := range map[string]string{"outline": "floating caliper, outer side", "looks": "pinhole"} {
				if got := p.Value(`document.querySelector("[name=` + field + `]:checked")?.value ?? ""`); got != want {
					t.Errorf("%s is %q, want %q", field, got, want)
				}
			}
		})
	}
}
