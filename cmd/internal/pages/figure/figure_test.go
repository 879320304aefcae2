package figure_test

import (
	"encoding/json"
	"html/template"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
	"pgregory.net/rapid"
)

// Every kind of entry, filled in and bare, comes to something or to nothing,
// and never to a panic; what is said is whole.
func TestEveryKind(t *testing.T) {
	for name, drafts := range map[string][]journal.Draft{"samples": journaltest.Samples(), "minimal": journaltest.Minimal()} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			var ids []journal.EntryID
			for _, d := range drafts {
				ids = append(ids, b.append(d))
			}
			snap := b.live().View(t.Context())
			for i, id := range ids {
				whole(t, drafts[i].Data.Kind(), figure.Of(snap, id))
			}
			for i := 0; i < len(ids); i += journaltest.Times(4, 1) {
				alone := newBench(t)
				whole(t, drafts[i].Data.Kind(), alone.of(alone.append(drafts[i])))
			}
		})
	}
}

func whole(t testing.TB, kind journal.Kind, f figure.Figure) {
	t.Helper()
	for _, s := range f.Say {
		if s.Text == "" || strings.Contains(s.Text, "%!") || strings.Contains(s.Text, "NaN") || strings.Contains(s.Rests, "%!") {
			t.Errorf("%s: %+v", kind, s)
		}
		for _, word := range []string{"safe ", "approved"} {
			if strings.Contains(strings.ToLower(s.Text), word) {
				t.Errorf("%s calls something %s: %s", kind, word, s.Text)
			}
		}
	}
	if !silentKinds()[kind] {
		return
	}
	if !f.IsZero() {
		t.Errorf("%s says\n%s", kind, said(f))
	}
}

// silentKinds have no figures, and no hold point rests on them.
func silentKinds() map[journal.Kind]bool {
	return map[journal.Kind]bool{
		journal.NoteMade: true, journal.ContactMade: true, journal.PersonAdded: true,
		journal.ShopFounded: true, journal.DeviceEnrolled: true, journal.CardWritten: true, journal.RecordSealed: true, journal.PhotoWithdrawn: true,
	}
}

// In whatever order entries come, and whatever is missing, nothing breaks.
func TestAnyOrder(t *testing.T) {
	drafts := append(journaltest.Samples(), journaltest.Minimal()...)
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(t)
		var last journal.EntryID
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(drafts)-1), 1, 12).Draw(rt, "entries") {
			last = b.append(drafts[i])
		}
		whole(t, "", b.of(last))
	})
}

func TestNothingThere(t *testing.T) {
	b := newBench(t)
	for _, s := range []*live.Snapshot{nil, b.live().View(t.Context())} {
		if f := figure.Of(s, journal.EntryID{}); !f.IsZero() {
			t.Errorf("nothing comes to\n%s", said(f))
		}
	}
}

// A waiver that cannot count says so before it is stamped.
func TestWaiver(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	b.write(part, &journal.Masking{Features: []journal.Item{{What: "bore", Count: 7}}, Plugs: 7})
	b.write(part, &journal.Unmasking{Plugs: 6})
	says(t, b.supposed(part, &journal.Waiver{Hold: "plugs-out", Reason: "lost"}), "broken! Every plug that went in is out again", "a safety hold can only be met, so the waiver does not count")
}

func render(t *testing.T, f figure.Figure) string {
	t.Helper()
	parsed, err := template.ParseFS(figure.Templates(), "html/*.html")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := parsed.ExecuteTemplate(&b, "figure", f); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The style sheet hides the element when nothing is in it.
func TestEmptyElement(t *testing.T) {
	if got := render(t, figure.Figure{}); got != `<div id="figure" class="verdict" aria-live="polite"></div>` {
		t.Errorf("%q", got)
	}
}

func TestMarkup(t *testing.T) {
	f := figure.Figure{
		Say: []figure.Sentence{
			{Text: "LF <b>, 105 N.m is outside 98.0 N·m to 112.0 N·m with tw-1", State: route.Broken, Safety: true, Rests: "Asked: more"},
			{Text: "the mean of 5 spots is 77.9 µm"},
		},
		Table: figure.Table{Title: "Rings are readings.", Head: []string{"Spot", "Where", "Mean"}, Rows: [][]string{{"flat", "LF <caliper>", "77.9 µm"}}},
		Chart: "<svg></svg>", Narrow: `<svg role="img"></svg>`, Caution: "The maker’s data come first.",
	}
	got := render(t, f)
	for _, want := range []string{
		`<div class="why broken"><p><span class="mark">broken</span> <b>LF &lt;b&gt;, <span class="n">105 N.m</span> is outside <span class="n">98.0 N·m</span> to <span class="n">112.0 N·m</span> with tw-1</b></p><p class="label">Asked: more</p></div>`,
		`<b>The mean of <span class="n">5</span> spots is <span class="n">77.9 µm</span></b>`,
		`<figure><div class="scroll plot" tabindex="0" role="group" aria-label="Picture"><svg></svg><svg role="img"></svg></div><figcaption>Rings are readings.</figcaption></figure>`,
		`<th role="rowheader" scope="row">flat</th><td role="cell" data-of="Where">LF &lt;caliper&gt;</td><td role="cell" data-of="Mean" class="n">77.9 µm</td>`,
		`<p class="label">The maker’s data come first.</p>`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no %s in\n%s", want, got)
		}
	}
	if strings.Contains(got, "style=") {
		t.Error("the policy of the pages forbids style attributes")
	}
}

// The pieces of a sentence are the sentence.
func TestPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[a-z0-9.:\- ·°Cµm%N]{0,40}`)).Draw(t, "text")
		got := ""
		for _, p := range (figure.Sentence{Text: text}).Pieces() {
			if p.Text == "" {
				t.Fatal("an empty piece")
			}
			got += p.Text
		}
		// Only the first letter may have become a capital.
		if !strings.EqualFold(got, text) && !strings.EqualFold(strings.ToUpper(got), strings.ToUpper(text)) {
			t.Fatalf("%q became %q", text, got)
		}
	})
	for text, want := range map[string]string{
		"tw-1 is marked 40 N.m":          `[{"Text":"tw-1 is marked ","Figure":false},{"Text":"40 N.m","Figure":true}]`,
		"due 2027-09-30 or after 5 uses": `[{"Text":"Due ","Figure":false},{"Text":"2027-09-30","Figure":true},{"Text":" or after ","Figure":false},{"Text":"5","Figure":true},{"Text":" uses","Figure":false}]`,
		"at 21 °C.":                      `[{"Text":"At ","Figure":false},{"Text":"21 °C","Figure":true},{"Text":".","Figure":false}]`,
	} {
		raw, err := json.Marshal(figure.Sentence{Text: text}.Pieces())
		if err != nil {
			t.Fatal(err)
		}
		if string(raw) != want {
			t.Errorf("%q: %s", text, raw)
		}
	}
}
