package journal_test

import (
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// What was typed as a quantity has the shop's decimal sign where it is told, a day its form;
// what was typed in words, a grade, a lot and a page stay letter by letter.
func TestTold(t *testing.T) {
	way := words.Writing{Decimal: words.Comma, Days: words.PointsDayFirst}
	volume, err := unit.Parse[unit.Volume]("0.5 L")
	if err != nil {
		t.Fatal(err)
	}
	fluid := &journal.FluidContainer{Fluid: "f-5.1", Grade: "DOT 5.1", Volume: volume, Batch: "7.35", UseBy: "2027-03-02", Opened: "2026-03-02"}
	plain := fluid.Say()
	if got, want := journal.Told(fluid, way).Say(), "fluid container f-5.1 opened: DOT 5.1; 0,5 L; batch 7.35; use by 02.03.2027; open since 02.03.2026"; got != want {
		t.Errorf("told as %q, want %q", got, want)
	}
	if got := fluid.Say(); got != plain || fluid.Volume.String() != "0.5 L" {
		t.Errorf("the data itself now says %q, before %q", got, plain)
	}
	if journal.Told(fluid, words.Writing{}) != journal.Payload(fluid) {
		t.Error("of a shop that chose nothing the data is not the same")
	}
}

// The data of no kind is changed by being told, and no sentence of any has a quantity or a
// day in another way than the shop's. Samples have no such thing in what is typed in words.
func TestEveryKindIsTold(t *testing.T) {
	other := regexp.MustCompile(`[0-9]\.[0-9]+ ?(?:°C|°F|N[.·]m|µm|mil|mm|bar|psi|mL|L|km|mi|kg|K|V|M?Ω|min|s|h|%)(?:[ ,;:.)]|$)|[0-9] (?:January|February|March|April|May|June|July|August|September|October|November|December) [0-9]{4}|[0-9]{4}-[0-9]{2}-[0-9]{2}`)
	chosen := 0
	for _, d := range journaltest.Samples() {
		before, err := journal.MarshalPayload(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		said := journal.Told(d.Data, words.Writing{Decimal: words.Comma, Thousands: words.ThinSpace, Days: words.SlashesDayFirst}).Say()
		if after, err := journal.MarshalPayload(d.Data); err != nil || string(after) != string(before) {
			t.Errorf("%s: telling it changed the data", d.Data.Kind())
		}
		if found := other.FindString(said); found != "" {
			t.Errorf("%s: %q in %q", d.Data.Kind(), found, said)
		}
		if strings.ContainsAny(said, "/") && said != d.Data.Say() {
			chosen++
		}
	}
	if chosen < 5 {
		t.Errorf("only %d samples are told in another way", chosen)
	}
}
