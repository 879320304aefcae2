package day_test

import (
	"encoding/json"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// traced looks at the picture of a trace: the keyboard goes through it as it is
// read, and shows where it is; on paper and on a phone the lists stand in for it and
// tell of everything that is drawn.
func traced(t *testing.T, p *browsertest.Page, address string) {
	t.Helper()
	p.Resize(browsertest.Landscape)
	p.Dark(false)
	p.Open(address)
	texts := func(expression string) (list []string) {
		t.Helper()
		if err := json.Unmarshal([]byte(p.Value(`JSON.stringify([...document.querySelectorAll("`+expression+`")].map((e) => e.textContent.trim()))`)), &list); err != nil {
			t.Fatal(err)
		}
		return list
	}
	drawn := texts(".traced a text:first-of-type")
	if len(drawn) < 5 {
		t.Fatalf("only %q is drawn", drawn)
	}
	reached := 0 // of the picture, in its order
	for _, at := range p.Walk() {
		if reached < len(drawn) && strings.HasPrefix(at, "a "+drawn[reached]) {
			reached++
		}
	}
	if reached != len(drawn) {
		t.Errorf("the keyboard does not get from %q to %q", drawn[:reached], drawn[reached])
	}
	order := texts(".traced a .second") // the times of what touched it, then what it is, then where the cars are
	if first, last := order[0], order[len(order)-1]; !strings.Contains(first, ":") || !strings.Contains(last, "shop") && !strings.Contains(last, "road") {
		t.Errorf("the picture is read from %q to %q", first, last)
	}
	const focused = `(() => { const a = document.querySelector(".traced a"), r = a.querySelector("rect"), was = getComputedStyle(r).strokeWidth; a.focus({focusVisible: true}); return was !== getComputedStyle(r).strokeWidth; })()`
	if p.Value(`String(`+focused+`)`) != "true" {
		t.Error("it is not shown where the keyboard is")
	}
	const seen = `(() => { const box = document.querySelector(".traced").getBoundingClientRect(); return String(box.width > 0 && box.height > 0); })()`
	listed := strings.Join(texts("main .rows li b"), "\n")
	for _, name := range drawn {
		if !strings.Contains(listed, strings.TrimSuffix(name, "…")) && name != strings.TrimSpace(texts("h1")[0]) && !strings.Contains(texts("h1")[0], strings.TrimSuffix(name, "…")) {
			t.Errorf("%q is drawn and not listed", name)
		}
	}
	for _, look := range []struct {
		what  string
		size  browsertest.Size
		paper bool
		shown string
	}{
		{"on a large screen", browsertest.Landscape, false, "true"},
		{"on paper", browsertest.Landscape, true, "false"},
		{"on a phone", browsertest.Phone, false, "false"},
	} {
		p.Resize(look.size)
		p.Paper(look.paper)
		if got := p.Value(seen); got != look.shown {
			t.Errorf("%s the picture is seen: %s", look.what, got)
		}
		if p.Value(`String([...document.querySelectorAll("main .rows li")].every((e) => e.getBoundingClientRect().height > 0))`) != "true" {
			t.Errorf("%s not all of the lists is seen", look.what)
		}
		if look.paper && p.Value(`String([...document.querySelectorAll("button, .button, input")].some((e) => e.getBoundingClientRect().height > 0))`) != "false" {
			t.Error("on paper there are buttons and fields")
		}
		if found := p.Overflow(); len(found) > 0 {
			t.Errorf("%s: %v", look.what, found)
		}
	}
	p.Paper(false)
}
