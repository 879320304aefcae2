package browsertest

import (
	"context"
	"errors"
	"fmt"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// ByKeys has everything in this tab done with keys from now on: Tab and Shift with
// Tab lead to what is meant, arrows choose, Space ticks, Enter presses, and no pointer
// is moved. Wherever the focus comes on its way it must be seen: with an outline, in
// view, and not below what stays in reach at the bottom. What is not is told by
// [Page.Unseen].
func (p *Page) ByKeys() { p.keys = new(keys) }

// TypeByKeys types one of the numbers of a field that has a box for each, into the box that
// the focus is in, or else into its first.
func (p *Page) TypeByKeys(name, text string) {
	p.b.t.Helper()
	boxes := fmt.Sprintf(`[...document.querySelectorAll('[name="%s"]')]`, name)
	if !eval[bool](p, boxes+".includes(document.activeElement)") {
		p.reach(name, boxes+"[0]")
	}
	for _, r := range text {
		p.hit(string(r))
	}
	p.until("a box holds "+text, fmt.Sprintf(`%s.some((e) => e.value === %q)`, boxes, text))
}

// keys is what is remembered of a tab that is worked by keys.
type keys struct {
	pressed int
	unseen  []string
}

// Pressed is how often a key was pressed to come somewhere.
func (p *Page) Pressed() int { return p.keys.pressed }

// Unseen lists where the focus was not seen since it was last asked.
func (p *Page) Unseen() []string {
	list := p.keys.unseen
	p.keys.unseen = nil
	return list
}

// focus tells where the focus is on its way to something.
type focus struct {
	There  bool   `json:"there"`
	Back   bool   `json:"back"` // it lies before where the focus is
	Wait   string `json:"wait"` // why it cannot be gone to yet
	Unseen string `json:"unseen"`
	Lost   bool   `json:"lost"` // something was pressed on this page, and nothing has the focus
}

// stops are what Tab stops at, in its order. Of radio buttons that belong together
// it is one.
const stops = `[...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")].filter((e) => e.tabIndex >= 0 && !e.disabled && e.type !== "hidden" && e.checkVisibility({visibilityProperty: true}) && (e.type !== "radio" || e.checked || ![...document.getElementsByName(e.name)].some((o) => o.checked && o.form === e.form)))`

// seen says of what has the focus why it cannot be seen, or "".
const seen = `((e) => {
	if (!e || e === document.body || e.matches("main, .skip")) return "";
	const says = e.tagName + " " + (e.innerText || e.name || e.getAttribute("aria-label") || "").replace(/\s+/g, " ").trim().slice(0, 40);
	const ringed = [e, e.closest("label"), e.querySelector("rect")].some((o) => o && (getComputedStyle(o).outlineStyle !== "none" && parseFloat(getComputedStyle(o).outlineWidth) >= 2 || o.matches("rect")));
	if (!ringed) return says + ": no outline";
	// A ring that is not three times as light or dark as its ground is not seen. (WCAG 2.2, 1.4.11.)
	const light = (c) => { const [r, g, b] = c.match(/[\d.]+/g).map((v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	const ground = (o) => { for (; o; o = o.parentElement) { const c = getComputedStyle(o).backgroundColor; if (!/, 0\)$|transparent/.test(c)) return c; } return "rgb(255, 255, 255)"; };
	const ring = [e, e.closest("label")].find((o) => o && getComputedStyle(o).outlineStyle !== "none");
	if (ring) { const [a, b] = [light(getComputedStyle(ring).outlineColor), light(ground(ring.parentElement))].sort((a, b) => b - a); if ((a + 0.05) / (b + 0.05) < 3) return says + ": an outline that is hardly seen"; }
	const own = e.closest("label") ?? e, box = [...own.getClientRects()].find((r) => r.width > 0 && r.height > 0);
	if (!box) return says + ": has no place";
	if (box.bottom <= 0 || box.top >= innerHeight || box.right <= 0 || box.left >= innerWidth) return says + ": out of view at " + Math.round(box.top);
	// The first 44 pixels of it are enough to know it again.
	const x = (Math.max(box.left, 0) + Math.min(box.right, innerWidth)) / 2, low = Math.min(box.bottom, Math.max(box.top, 0) + 44) - 3;
	const top = document.elementFromPoint(x, Math.max(low, 1));
	return !top || low > innerHeight || top.closest(".bar, .act") && !own.closest(".bar, .act") ? says + ": covered at " + Math.round(box.top) : "";
})(document.activeElement)`

// mostPresses is how many presses may lead to one thing.
const mostPresses = 400

// reach leads the focus to what an expression finds, as Tab does.
func (p *Page) reach(what, find string) {
	p.b.t.Helper()
	where := p.towards(find)
	for range mostPresses {
		var now focus
		p.try("come to "+what, func(ctx context.Context) (err error) {
			now, err = look[focus](ctx, p, where, `(now) => !now.wait`)
			if err == nil && now.Wait != "" {
				err = errors.New(now.Wait)
			}
			return err
		})
		if p.steps(what, now) {
			return
		}
	}
	p.fail("%d presses of Tab do not lead to %s", mostPresses, what)
}

// Offered goes to what is offered for a while only and presses Enter on it, which leads to
// another page. It reports whether it was still there; who comes too late has pressed
// nothing.
func (p *Page) Offered(selector string) bool {
	p.b.t.Helper()
	find := fmt.Sprintf(`document.querySelector(%q)`, selector)
	where := p.towards(find)
	p.tell(`window.leaving = true`)
	for range mostPresses {
		now := eval[focus](p, where)
		if now.Wait != "" {
			return false
		}
		if p.steps(selector, now) {
			p.hit(kb.Enter)
			p.until("it is pressed, or offered no more", `(window.leaving === undefined ? document.readyState === "complete" : !`+find+")")
			return !eval[bool](p, `window.leaving === true`)
		}
	}
	p.fail("%d presses of Tab do not lead to %s", mostPresses, selector)
	return false
}

// towards asks where the focus is on its way to what an expression finds.
func (p *Page) towards(find string) string {
	return fmt.Sprintf(`(() => { const e = (%s), at = document.activeElement; if (!e) return {wait: "it is not there"};
		if (!e.checkVisibility({visibilityProperty: true}) || e.disabled) return {wait: "it is hidden"};
		const mates = e.type === "radio" ? [...document.getElementsByName(e.name)].filter((o) => o.form === e.form) : [e];
		const all = %s, to = all.findIndex((o) => mates.includes(o));
		return {lost: window.struck === true && document.activeElement === document.body, there: mates.includes(at), back: all.indexOf(at) > to, wait: to < 0 ? "Tab does not stop there" : "", unseen: %s}; })()`, find, stops, seen)
}

// steps notes what is wrong where the focus is, and goes one stop further. It reports
// whether the focus has come.
func (p *Page) steps(what string, now focus) bool {
	p.b.t.Helper()
	if now.Lost {
		p.keys.unseen = append(p.keys.unseen, p.URL()+": the focus was lost before "+what)
		p.tell("window.struck = false")
	}
	if now.Unseen != "" {
		p.keys.unseen = append(p.keys.unseen, p.URL()+": "+now.Unseen)
	}
	switch {
	case now.There:
		return true
	case now.Back:
		p.hit(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift))
	default:
		p.hit(kb.Tab)
	}
	return false
}

func (p *Page) hit(key string, how ...chromedp.KeyOption) {
	p.b.t.Helper()
	p.keys.pressed++
	do(p, "press a key", chromedp.KeyEvent(key, how...))
}

// strike does with keys what a click does.
func (p *Page) strike(what, find string) {
	p.b.t.Helper()
	control := fmt.Sprintf(`((e) => e?.control ?? e)(%s)`, find) // a label leads to its field
	p.reach(what, control)
	p.tell("window.struck = true")
	switch eval[string](p, fmt.Sprintf(`(%s)?.type ?? ""`, control)) {
	case "radio":
		p.chooses(what, control)
	case "checkbox":
		p.hit(" ")
	default:
		p.hit(kb.Enter)
	}
}

// chooses goes with arrows to one of the radio buttons that belong together, of which
// one has the focus.
func (p *Page) chooses(what, find string) {
	p.b.t.Helper()
	for range mostPresses {
		switch eval[string](p, fmt.Sprintf(`(() => { const e = (%s); return document.activeElement !== e ? "elsewhere" : e.checked ? "checked" : "there"; })()`, find)) {
		case "checked":
			return
		case "there":
			p.hit(" ")
		default:
			p.hit(kb.ArrowDown)
		}
	}
	p.fail("the arrows do not lead to %s", what)
}

// picks chooses a line of a list with arrows.
func (p *Page) picks(name, find, value string) {
	p.b.t.Helper()
	p.reach(name, find)
	p.hit(kb.Home)
	for range mostPresses {
		if eval[bool](p, fmt.Sprintf(`(%s).value === %q`, find, value)) {
			return
		}
		p.hit(kb.ArrowDown)
	}
	p.fail("the list %s has no %q", name, value)
}

// types types into a field, over what stands there.
func (p *Page) types(label, find, text string) {
	p.b.t.Helper()
	p.reach(label, find)
	p.hit("a", chromedp.KeyModifiers(chromedp.ModifierCtrl))
	call(p, "fill "+label, input.InsertText, input.InsertTextParams{Text: text})
}

// setByKeys answers a field by its name. What is folded away is unfolded first.
func (p *Page) setByKeys(name, all, one, value string) {
	p.b.t.Helper()
	first := fmt.Sprintf("(%s ?? %s[0])", one, all)
	p.until("there is a field "+name, "Boolean("+first+")")
	if folded := fmt.Sprintf(`%s.closest("details:not([open])")?.querySelector("summary")`, first); eval[bool](p, "Boolean("+folded+")") {
		p.reach("what is folded over "+name, folded)
		p.hit(kb.Enter)
	}
	switch eval[string](p, first+".type") {
	case "radio":
		p.strike(name+"="+value, one)
	case "checkbox":
		if !eval[bool](p, one+".checked") {
			p.strike(name+"="+value, one)
		}
	case "select-one":
		p.picks(name, first, value)
	default:
		p.Fill(fmt.Sprintf(`[name="%s"]`, name), value)
	}
}
