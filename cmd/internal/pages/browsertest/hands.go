package browsertest

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// find is an expression for the element that a person means: by a CSS
// selector, which begins with # . or [, else by what it says. Of several the
// one that says just this wins, then the first.
func find(what string) string {
	if strings.HasPrefix(what, "#") || strings.HasPrefix(what, ".") || strings.HasPrefix(what, "[") {
		return fmt.Sprintf(`document.querySelector(%q)`, what)
	}
	return fmt.Sprintf(`(() => {
		const wanted = %q, say = (e) => (e.innerText || e.value || e.getAttribute("aria-label") || "").replace(/\s+/g, " ").trim();
		const all = [...document.querySelectorAll("a, button, label, summary, select, input[type=submit]")].filter((e) => e.checkVisibility());
		return all.find((e) => say(e) === wanted) ?? all.find((e) => say(e).includes(wanted)) ?? null;
	})()`, what)
}

// spot is where something is to be clicked, or why not yet.
type spot struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Wait string  `json:"wait"`
}

// Click clicks on what says a text, or on a CSS selector, as a finger does: in
// its middle, and only if nothing lies over it. Where the page moved meanwhile, so
// that something else lies there, what was hit does nothing.
func (p *Page) Click(what string) {
	p.b.t.Helper()
	p.taps++
	p.tapped(1)
	if p.keys != nil {
		p.strike(what, find(what))
		return
	}
	var at spot
	// All of it is asked at once: between two questions the page may be replaced.
	where := fmt.Sprintf(`(() => { const find = () => %s, e = find(); if (!e) return {wait: "it is not there"};
		e.scrollIntoView({block: "center"});
		const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2, top = document.elementFromPoint(x, y), at = x + " " + y;
		if (top === null || !e.contains(top) && !top.contains(e)) return {wait: "something covers it"};
		if (window.stood !== at) { window.stood = at; return {wait: "it moves"}; }
		window.missed = false;
		addEventListener("click", (c) => { const e = find(); window.missed = !(e && (e.contains(c.target) || c.target.closest("label, button, a, summary")?.contains(e))); if (window.missed) { c.preventDefault(); c.stopImmediatePropagation(); } }, {capture: true, once: true});
		return {x, y, wait: ""}; })()`, find(what))
	for range 3 { // who sees that something else was hit, as the page moved, taps again
		p.try("click "+what, func(ctx context.Context) (err error) {
			at, err = look[spot](ctx, p, where, `(now) => now.wait === ""`)
			if err == nil && at.Wait != "" {
				err = errors.New(at.Wait)
			}
			return err
		})
		do(p, "click "+what, chromedp.MouseClickXY(at.X, at.Y))
		if !eval[bool](p, `window.missed === true`) {
			return
		}
	}
}

// Touch taps with a finger, which a page can tell from a mouse, and as a mouse does it
// only what nothing lies over.
func (p *Page) Touch(what string) {
	p.b.t.Helper()
	p.taps++
	p.tapped(1)
	where := fmt.Sprintf(`(() => { const e = %s; if (!e) return {wait: "it is not there"};
		e.scrollIntoView({block: "nearest"});
		const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2, top = document.elementFromPoint(x, y), at = x + " " + y;
		if (!e.contains(top)) return {wait: "it is covered by " + (top?.closest("[id]")?.id ?? "nothing") + " at " + at};
		if (window.stood !== at) { window.stood = at; return {wait: "it moves"}; }
		return {x, y, wait: ""}; })()`, find(what))
	var at spot
	p.try("touch "+what, func(ctx context.Context) (err error) {
		if at, err = look[spot](ctx, p, where, `(now) => now.wait === ""`); err == nil && at.Wait != "" {
			err = errors.New(at.Wait)
		}
		return err
	})
	call(p, "touch "+what, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: at.X, Y: at.Y}}})
	call(p, "lift the finger", input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}})
}

// Focus taps a field until the cursor is in it: where the page moved under the finger,
// somebody sees that and taps again. It counts once.
func (p *Page) Focus(selector string) {
	p.b.t.Helper()
	held := fmt.Sprintf(`document.activeElement === document.querySelector(%q)`, selector)
	p.Click(selector)
	p.try("set the cursor into "+selector, func(context.Context) error {
		if eval[bool](p, held) {
			return nil
		}
		p.taps--
		p.tapped(-1)
		p.Click(selector)
		return errors.New("it is not there yet")
	})
}

// Go clicks on what leads to another page and waits for that. Where a list grew
// above it meanwhile, so that something else was hit, it clicks again.
func (p *Page) Go(what string) {
	p.b.t.Helper()
	p.tell(`window.leaving = true`)
	p.watch.clear()
	p.Click(what)
	p.try(fmt.Sprintf("wait until %q has led to another page", what), func(ctx context.Context) error {
		stands, err := look[string](ctx, p, `window.leaving === undefined && document.readyState === "complete" ? "" : window.missed ? "missed" : "not yet"`, `(now) => now !== "not yet"`)
		switch {
		case err != nil:
			return err
		case stands == "missed":
			p.taps--
			p.tapped(-1)
			p.Click(what)
		}
		if stands != "" {
			return errors.New(stands)
		}
		return nil
	})
}

// Taps is how often something was clicked since it was last asked.
func (p *Page) Taps() int {
	n := p.taps
	p.taps = 0
	return n
}

// field is an expression for the field with a label, or of a CSS selector.
func field(label string) string {
	if strings.HasPrefix(label, "#") || strings.HasPrefix(label, "[") {
		return fmt.Sprintf(`document.querySelector(%q)`, label)
	}
	return fmt.Sprintf(`(() => {
		const wanted = %q, say = (e) => e.innerText.replace(/\s+/g, " ").trim();
		const all = [...document.querySelectorAll("label")].filter((e) => e.control && e.checkVisibility());
		return (all.find((e) => say(e) === wanted) ?? all.find((e) => say(e).includes(wanted)))?.control ?? null;
	})()`, label)
}

// Fill types into a field, over what stands there.
func (p *Page) Fill(label, text string) {
	p.b.t.Helper()
	at := field(label)
	p.typed(text)
	if p.keys != nil {
		p.types(label, at, text)
		p.until(fmt.Sprintf("%q holds what was typed", label), fmt.Sprintf(`%s.value === %q`, at, text))
		return
	}
	p.await("fill "+label, fmt.Sprintf(`(() => { const e = %s; if (!e) return "there is no such field"; e.scrollIntoView({block: "center"}); e.focus(); e.select?.(); return ""; })()`, at))
	call(p, "fill "+label, input.InsertText, input.InsertTextParams{Text: text})
	p.until(fmt.Sprintf("%q holds what was typed", label), fmt.Sprintf(`%s.value === %q`, at, text))
}

// Holds waits until a field holds a text.
func (p *Page) Holds(label, text string) {
	p.b.t.Helper()
	p.until(fmt.Sprintf("%q holds %q", label, text), fmt.Sprintf(`%s?.value === %q`, field(label), text))
}

// Upload chooses files in a file field. It works without scripts too.
func (p *Page) Upload(selector string, files ...string) {
	p.b.t.Helper()
	for i, f := range files {
		if abs, err := filepath.Abs(f); err == nil {
			files[i] = abs
		}
	}
	p.tapped(1)
	p.until("there is a field for files", fmt.Sprintf(`document.querySelector(%q) !== null`, selector))
	if p.keys != nil { // Enter opens what the device has for choosing
		p.reach(selector, fmt.Sprintf(`document.querySelector(%q)`, selector))
	}
	// What the page shows may be replaced between two looks; then it is looked
	// for once more.
	p.try("choose files", func(ctx context.Context) error {
		root, err := chromedp.Call(ctx, dom.GetDocument, dom.GetDocumentParams{})
		if err != nil {
			return err
		}
		node, err := chromedp.Call(ctx, dom.QuerySelector, dom.QuerySelectorParams{NodeID: root.Root.NodeID, Selector: selector})
		if err != nil {
			return err
		}
		_, err = chromedp.Call(ctx, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: files, NodeID: node.NodeID})
		return err
	})
}

// Press presses a key.
func (p *Page) Press(key string) {
	p.b.t.Helper()
	do(p, "press a key", chromedp.KeyEvent(key))
}

// Walk presses Tab until it comes round, and returns what was reached, each
// by what it says.
func (p *Page) Walk() (reached []string) {
	p.b.t.Helper()
	p.tell(`document.activeElement?.blur(); window.walked = new Set()`)
	for range 400 {
		p.Press(kb.Tab)
		at := eval[string](p, `(() => { const e = document.activeElement; if (e === null || e === document.body || window.walked.has(e)) return ""; window.walked.add(e);
			return e.tagName + " " + (e.innerText || e.name || e.getAttribute("aria-label") || e.textContent || e.href || "").replace(/\s+/g, " ").trim().slice(0, 60); })()`)
		if at == "" {
			break
		}
		reached = append(reached, at)
	}
	return reached
}

// question is how a field is answered.
type question struct {
	Kind string `json:"kind"` // its type; "" where it is not there
	Done bool   `json:"done"` // it holds the answer already
	Tap  string `json:"tap"`  // the id of what is tapped
}

// Set answers a field by its name: it types, ticks, or chooses, as the field
// wants it.
func (p *Page) Set(name, value string) {
	p.b.t.Helper()
	all := fmt.Sprintf(`[...document.querySelectorAll("[name=" + CSS.escape(%q) + "]")].filter((e) => e.type !== "hidden")`, name)
	one := fmt.Sprintf(`%s.find((e) => e.value === %q)`, all, value)
	if p.keys != nil {
		p.setByKeys(name, all, one, value)
		return
	}
	var is question
	p.try("find a field "+name, func(ctx context.Context) (err error) {
		is, err = look[question](ctx, p, fmt.Sprintf(`(() => { const all = %s; if (!all.length) return {kind: ""};
			all[0].closest("details")?.setAttribute("open", "");
			const kind = all[0].type, one = all.find((e) => e.value === %q);
			if (kind === "select-one") { all[0].value = %[2]q; for (const e of ["input", "change"]) all[0].dispatchEvent(new Event(e, {bubbles: true})); }
			if (kind !== "radio" && kind !== "checkbox") return {kind};
			if (!one) return {kind: ""};
			const label = one.closest("label"); label.id ||= "set-" + Math.random().toString(36).slice(2);
			return {kind, done: one.checked, tap: label.id}; })()`, all, value), `(now) => now.kind !== ""`)
		if err == nil && is.Kind == "" {
			err = errors.New("it is not there")
		}
		return err
	})
	switch is.Kind {
	case "radio", "checkbox":
		if !is.Done {
			p.Click("#" + is.Tap)
			p.try(fmt.Sprintf("wait until %s is %s", name, value), func(ctx context.Context) error {
				stands, err := look[string](ctx, p, one+`?.checked === true ? "" : window.missed ? "missed" : "not yet"`, `(now) => now !== "not yet"`)
				switch {
				case err != nil:
					return err
				case stands == "missed": // the figure below grew or shrank meanwhile
					p.taps--
					p.tapped(-1)
					p.Click("#" + is.Tap)
				}
				if stands != "" {
					return errors.New(stands)
				}
				return nil
			})
		}
	case "select-one":
		p.tapped(2) // it unfolds, and one line of it is chosen
	default:
		p.Fill(fmt.Sprintf(`[name="%s"]`, name), value)
	}
}

// Has reports whether the page has what a CSS selector finds.
func (p *Page) Has(selector string) bool {
	p.b.t.Helper()
	return eval[bool](p, fmt.Sprintf(`document.querySelector(%q) !== null`, selector))
}
