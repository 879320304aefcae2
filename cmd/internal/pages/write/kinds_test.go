package write_test

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// where is a subject of the shop on which a kind can stand.
func where(s *shop, kind journal.Kind) journal.Subject {
	for _, place := range kind.Places() {
		switch place {
		case "job":
			return journal.About(one, "", "")
		case "job/corner":
			return lf
		case "job/corner/part":
			return lfCaliper
		case "run":
			if !slices.Contains(kind.Places(), "job/corner/part") {
				return "run/b7"
			}
		case "tool", "lot", "fluid", "spec", "kit":
			return journal.Of(place, "new")
		case "shop":
			return journal.Of(place, string(journaltest.Shop))
		}
	}
	return lfCaliper
}

// Every kind that people write is written by its page as it is typed: what is
// on the samples of all kinds comes back, entry for entry.
func TestEveryKind(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	bakeWithProbes(s)
	for kind := range journal.Kinds() {
		sheet, err := form.Of(kind)
		if err != nil || kind == journal.JobOpened || kind == journal.VehicleReleased || kind == journal.PhotoTaken || kind.Is(journal.ByPhotograph) || kind == journal.OrderStated || slices.Equal(kind.Places(), []string{"person"}) {
			continue // pages of their own, and tests of their own
		}
		t.Run(string(kind), func(t *testing.T) {
			sample := journaltest.Sample(kind)
			if look, ok := sample.Data.(*journal.SecondCheck); ok { // which is of work on these brakes
				of := *look
				of.Of, sample.Data = s.write(lf, &journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: journal.Dry}), &of
			}
			raw, err := journal.MarshalPayload(sample.Data)
			if err != nil {
				t.Fatal(err)
			}
			path := "/write/" + string(kind) + "/" + string(where(s, kind))
			if kind == journal.BakeStarted {
				path = "/run/new/bake.started"
			}
			p := s.get(path).want(t, http.StatusOK, sheet.Title, sheet.Act)
			wellFormed(t, p.body)
			all := url.Values(sheet.Values(raw))
			all["part"], all["sure"] = []string{string(lfCaliper)}, []string{"1"}
			if p := s.stamp(path, all); p.status != http.StatusSeeOther {
				p.want(t, http.StatusSeeOther)
				return
			}
			lines := s.lines(kind)
			got, want := members(t, lines[len(lines)-1].Data), members(t, raw)
			for _, m := range []map[string]any{got, want} {
				delete(m, "photos")
				delete(m, "parts")
				delete(m, "confirmed") // is typed into no field (TestAStampIsConfirmed)
			}
			if a, b := plain(t, got), plain(t, want); a != b {
				t.Errorf("written\n%s\nwant\n%s", a, b)
			}
		})
	}
}

func members(t *testing.T, raw jsontext.Value) map[string]any {
	t.Helper()
	m := make(map[string]any)
	if err := json.Unmarshal(raw, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

func plain(t *testing.T, m map[string]any) string {
	t.Helper()
	raw, err := json.Marshal(m, json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// The stages of the card, empty and with problems, are pages that a screen
// reader can read out.
func TestEveryStage(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	bakeWithProbes(s)
	st := s.live.View(s.t.Context()).Standing(one)
	for _, row := range st.Rows {
		for _, q := range row.Squares {
			path := "/stage/" + row.Stage.Name + "/" + string(q.Subject)
			for _, kind := range slices.Concat([]journal.Kind{""}, row.Stage.Wants, row.Stage.May) {
				full := path
				if kind != "" {
					full += "?kind=" + string(kind)
				}
				p := s.get(full).want(t, http.StatusOK, row.Stage.Title)
				wellFormed(t, p.body)
				for _, caution := range row.Stage.Cautions {
					p.want(t, http.StatusOK, st.Card.Say(caution, unit.Metric()))
				}
				if actionOf.MatchString(p.body) {
					if p := s.stamp(full, url.Values{"torque": {"x"}, "count": {"-1"}, "plugs": {"many"}, "features.0.count": {"0"}, "sure": {"1"}}); p.status != http.StatusSeeOther {
						wellFormed(t, p.body)
					}
				}
			}
		}
	}
}

var (
	tags   = regexp.MustCompile(`<(input|select|textarea|button|label|img|h1)\b[^>]*>`)
	attr   = regexp.MustCompile(`([a-z-]+)="([^"]*)"`)
	anyID  = regexp.MustCompile(`\sid="([^"]+)"`)
	labels = regexp.MustCompile(`(?s)<label\b[^>]*>.*?</label>`)
)

// wellFormed checks what a page owes to who cannot see it.
func wellFormed(t *testing.T, body string) {
	t.Helper()
	ids := make(map[string]bool)
	for _, m := range anyID.FindAllStringSubmatch(body, -1) {
		if ids[m[1]] {
			t.Errorf("the id %s stands twice", m[1])
		}
		ids[m[1]] = true
	}
	named := make(map[string]bool) // ids that a label is for
	inside := strings.Join(labels.FindAllString(body, -1), "\n")
	headings := 0
	for _, tag := range tags.FindAllString(body, -1) {
		a := make(map[string]string)
		for _, m := range attr.FindAllStringSubmatch(tag, -1) {
			a[m[1]] = html.UnescapeString(m[2])
		}
		if f := a["for"]; f != "" {
			named[f] = true
			if !ids[f] {
				t.Errorf("a label is for %s, which is not there", f)
			}
		}
		for _, id := range strings.Fields(a["aria-describedby"]) {
			if !ids[id] {
				t.Errorf("%s is described by %s, which is not there", tag, id)
			}
		}
		switch {
		case strings.HasPrefix(tag, "<h1"):
			headings++
		case strings.HasPrefix(tag, "<img") && !strings.Contains(tag, "alt="):
			t.Errorf("%s has no words", tag)
		}
	}
	for _, tag := range tags.FindAllString(body, -1) {
		control := strings.HasPrefix(tag, "<input") || strings.HasPrefix(tag, "<select") || strings.HasPrefix(tag, "<textarea")
		if !control || strings.Contains(tag, `type="hidden"`) || strings.Contains(tag, "aria-label=") || strings.Contains(inside, tag) {
			continue
		}
		if m := anyID.FindStringSubmatch(tag); m == nil || !named[m[1]] {
			t.Errorf("%s has no label", tag)
		}
	}
	if headings != 1 {
		t.Errorf("%d headings of the first rank", headings)
	}
	if strings.Contains(body, "style=") || strings.Contains(body, "<script>") || strings.Contains(body, "onclick=") {
		t.Error("inline style or script")
	}
}
