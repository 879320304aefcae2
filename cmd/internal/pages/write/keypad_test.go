package write_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/chromedp/chromedp/kb"
)

const soakPage = "/run/new/part.soaked"

// lying is a telephone on its side, and a tablet that is touched and lies so.
var (
	lying  = browsertest.Size{Name: "phone on its side", Width: 844, Height: 390, Touch: true}
	across = browsertest.Size{Name: "tablet on its side", Width: 1180, Height: 820, Touch: true}
)

const (
	keysOpen = `document.querySelector("#keypad:not([hidden])") !== null`
	keysShut = `document.querySelector("#keypad[hidden]") !== null`
)

// coveredField says where the keys, or what else stays at the bottom, lie over the field with
// the cursor.
const coveredField = `(() => { const e = document.activeElement, r = e.getBoundingClientRect(), top = document.elementFromPoint(r.x + r.width / 2, r.bottom - 3);
	return r.top < 0 || r.bottom > innerHeight || top !== e ? e.name + " at " + r.top + " to " + r.bottom + " of " + innerHeight + " lies below " + (top?.outerHTML ?? "").slice(0, 80) : ""; })()`

// poorKeys says what is wrong with the keys for a gloved hand of so many pixels.
const poorKeys = `((least) => [...document.querySelectorAll("#keypad button:enabled")].map((b) => [b.dataset.key, b.getBoundingClientRect()])
	.filter(([, r]) => Math.min(r.width, r.height) < least || r.right > innerWidth || r.bottom > innerHeight || r.top < 0).map(([k, r]) => k + " is " + r.width + " by " + r.height + " at " + r.top).join(", "))`

// at is where the cursor is.
func at(field string) string { return `document.activeElement.name === "` + field + `"` }

// keyed is a tab of a browser that is touched, on a page.
func keyed(t *testing.T, s *shop, size browsertest.Size, path string) *browsertest.Page {
	t.Helper()
	p := house.Browser(t).Page(size).For(t)
	p.Open(s.at(t) + path)
	p.Until(keysShut)
	return p
}

// Number keys come where a finger touches a number field, on every screen, large enough for
// gloves and never over the field. What is tapped is in the field, with its unit beside it.
// By default it is looked at on one screen, and if FETTLEBOOK_PAGES is "all" on all.
func TestNumberKeys(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	for _, size := range browsertest.Sample("number keys", []browsertest.Size{browsertest.Phone, browsertest.Upright, lying, across, browsertest.Phone.Twice(), browsertest.Upright.Twice()}) {
		least := "60"
		if size == browsertest.Phone.Twice() {
			least = "40" // each drawn twice as large
		}
		t.Run(size.Name, func(t *testing.T) {
			p := keyed(t, newShop(t), size, soakPage)
			for _, c := range []struct{ field, keys, want, shows string }{
				{"set", "230", "230", "230 °C"},
				{"metal", "21.5", "21.5", "21.5 °C"},
				{"held", "3..5", "3.5", "3.5 min"}, // a second point is not written
				{"metal", ".5", "0.5", "0.5 °C"},   // what stood there is written over
				{"set", "-", "-", "- °C"},
			} {
				p.Touch("[name=" + c.field + "]")
				p.Until(at(c.field) + " && " + keysOpen)
				if c.keys == "-" {
					p.Touch(`[data-key="back"]`) // all that was chosen
				}
				p.Keys(c.keys)
				p.Holds("[name="+c.field+"]", c.want)
				for _, wrong := range []string{p.Value(coveredField), p.Value(poorKeys + "(" + least + ")")} {
					if wrong != "" {
						t.Errorf("%s: %s", c.field, wrong)
					}
				}
				if shown := p.Value(`document.querySelector("#keypad output").textContent`); shown != c.shows {
					t.Errorf("beside the keys stands %q, want %q", shown, c.shows)
				}
				if found := p.Overflow(); len(found) > 0 {
					t.Error(found)
				}
			}
			if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
				p.Seen(filepath.Join(dir, "keypad "+size.Name+".png"))
				p.Dark(true)
				p.Grey()
				p.Seen(filepath.Join(dir, "keypad "+size.Name+" dark and grey.png"))
			}
			if found := p.Complaints(); len(found) > 0 {
				t.Error(found)
			}
		})
	}
}

// The keys walk on from field to field, take a minus only where less than nothing can be, and
// type into the same field as a keyboard.
func TestNumberKeysWalkOn(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	p := keyed(t, s, browsertest.Upright, soakPage)
	p.Touch("[name=set]")
	p.Until(keysOpen)
	p.Keys("5.")
	p.Touch(`[data-key="back"]`)
	p.Keys("-")
	p.Holds("[name=set]", "-5")
	p.Keys("-")
	p.Holds("[name=set]", "5")
	p.Touch(`[data-key="next"]`)
	p.Until(at("metal") + " && " + keysOpen)
	p.Touch(`[data-key="next"]`)
	p.Until(at("held") + ` && document.querySelector('[data-key="-"]').disabled`) // nothing is held for less than no time
	p.Press("7")
	p.Holds("[name=held]", "7")
	p.Keys("5")
	p.Holds("[name=held]", "75")
	p.Touch(`[data-key="next"]`)
	p.Until(keysShut + ` && document.activeElement === document.body`)

	// Escape shuts the keys and leaves the cursor; a touch on the same field has them again.
	p.Touch("[name=held]")
	p.Until(keysOpen)
	p.Press(kb.Escape)
	p.Until(keysShut + " && " + at("held") + ` && document.activeElement.inputMode === "decimal"`)
	p.Touch("[name=held]")
	p.Until(keysOpen)
	p.Touch(`[data-key="done"]`)
	p.Until(keysShut)

	// A unit that was typed with the number is the one beside it.
	p.Fill("[name=metal]", "415 °F")
	p.Touch("[name=metal]")
	p.Until(keysOpen)
	p.Keys("420")
	p.Until(`document.querySelector("[name=metal]").value === "420" && document.querySelector('[name="metal.unit"]').value === "°F"`)
	p.Touch(`[data-key="done"]`)
	p.Until(keysShut)

	// A mouse does without, and so does a touch on what is not a number.
	p.Click("[name=held]")
	p.Until(at("held") + " && " + keysShut)
	p.Touch("More")
	p.Touch("[name=note]")
	p.Until(at("note") + " && " + keysShut)

	// Where the shop writes a decimal comma, the key has it and writes it.
	s.write(journal.Of("shop", "k7m2q4xw"), journal.NewWriting(words.Writing{Decimal: words.Comma}, journal.ByInitials))
	p.Open(p.URL())
	p.Until(keysShut)
	p.Touch("[name=metal]")
	p.Until(keysOpen + ` && document.querySelector('[data-key="."]').textContent === "," && document.querySelector('[data-key="."]').getAttribute("aria-label") === "Decimal comma"`)
	p.Keys("21..5")
	p.Holds("[name=metal]", "21,5")
	p.Until(`document.querySelector("#keypad output").textContent === "21,5 °F"`) // the unit of last time
	p.Touch(`[data-key="done"]`)
	p.Until(`document.querySelector("#verdict, #figure") !== null`)
}

// Whoever leaves the page in the middle of a number finds it again, and writes over it or goes
// on with it; a tablet that is turned round has the field in sight.
func TestNumberKeysAndTheDraft(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	s := newShop(t)
	p := keyed(t, s, browsertest.Upright, soakPage)
	home := strings.TrimSuffix(p.URL(), soakPage)
	// The line is slow. This browser sends nothing on its way out, so what it is given is looked at.
	p.Value(`(window.fetch = () => { window.asked = true; return new Promise(() => {}); }, navigator.sendBeacon = (to, what) => sessionStorage.left = to + " " + what.get("do") + " " + what.get("metal"), "")`)
	p.Touch("[name=metal]")
	p.Until(keysOpen)
	p.Keys("19")
	p.Until("window.asked")
	p.Open(home + "/write/note.made/" + string(lf))
	if left := p.Value(`sessionStorage.left ?? ""`); left != home+soakPage+" draft 19" {
		t.Errorf("on leaving was sent %q", left)
	}
	p.Open(home + soakPage)
	p.Until(keysShut)
	p.Touch("[name=metal]")
	p.Until(keysOpen)
	p.Keys("19")
	p.Touch(`[data-key="done"]`)
	p.Sees("Kept on this tablet")
	p.Open(home + soakPage)
	p.Until(keysShut)
	p.Holds("[name=metal]", "19")
	p.Touch("[name=metal]")
	p.Until(keysOpen)
	p.Touch("[name=metal]") // sets the cursor behind what stands there
	p.Until(`document.activeElement.selectionStart === document.activeElement.selectionEnd`)
	p.Touch(`[data-key="back"]`)
	p.Until(`document.activeElement.value === "1"`)
	for _, size := range []browsertest.Size{lying, across, browsertest.Phone, browsertest.Upright} {
		p.Resize(size)
		p.Until(keysOpen + " && " + coveredField + ` === "" && innerWidth === ` + strconv.FormatInt(size.Width, 10))
	}
	if found := p.Complaints(); len(found) > 0 {
		t.Error(found)
	}
}

// What is stamped while the keys are open is refused as it is without them: what was typed
// stays, and a touch on the field that is wrong, which has the cursor already, has the keys.
// What stays at the bottom lies above the keys.
func TestNumberKeysAndARefusal(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	p := keyed(t, newShop(t), browsertest.Phone, "/write/torque.applied/"+string(lf))
	p.Fill("[name=joint]", "banjo bolt")
	p.Touch("[name=count]")
	p.Until(keysOpen + ` && document.querySelector('[data-key="."]').disabled`) // of bolts there are no halves
	p.Keys("0")
	p.Until(`(() => { const at = (s) => document.querySelector(s).getBoundingClientRect(); return at("#act").bottom <= at("#keypad").top + 1 && at("#act").top > 100; })()`)
	p.Touch("#stamp button.main")
	p.Until(keysShut + ` && document.activeElement?.matches("[aria-invalid]")`)
	p.Refused()
	p.Holds("[name=count]", "0")
	p.Touch("[name=torque]")
	p.Until(keysOpen)
	p.Keys("27")
	p.Holds("[name=torque]", "27")
	p.Until(coveredField + ` === ""`)
}

// The readings of a film go from box to box and from spot to spot.
func TestNumberKeysInBoxes(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	p := keyed(t, newShop(t), browsertest.Phone, "/write/film.measured/"+string(lfCaliper))
	p.Touch("[data-box]")
	p.Until(keysOpen)
	p.Keys("82") // a digit more would make a reading that no film has
	p.Keys("79")
	p.Keys("8") // and this may have one more
	p.Touch(`[data-key="next"]`)
	boxes := `[...document.querySelectorAll("[data-box]")].map((b) => b.value).join(" ").trim()`
	p.Until(boxes + ` === "82 79 8"`)
	if over := p.Value(`document.querySelector("#keypad output")?.textContent`); !strings.HasSuffix(over, "µm") {
		t.Errorf("beside the keys stands %q", over)
	}
}

// Without a script a number field is a plain one.
func TestNumberFieldWithoutAScript(t *testing.T) {
	t.Parallel()
	p := house.Browser(t).Page(browsertest.Phone).For(t)
	p.NoScript()
	p.Open(newShop(t).at(t) + soakPage)
	if is := p.Value(`document.querySelector("[name=set]").inputMode + " " + document.querySelectorAll("#keypad").length`); is != "decimal 0" {
		t.Error(is)
	}
}
