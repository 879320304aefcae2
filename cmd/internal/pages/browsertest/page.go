package browsertest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Size is a screen.
type Size struct {
	Name          string
	Width, Height int64
	Touch         bool
	twice         bool
}

// Twice is the screen at a zoom of 200 %: half as many pixels of the page to a side,
// each drawn twice as large.
func (s Size) Twice() Size {
	s.Name, s.Width, s.Height, s.twice = s.Name+"-twice", s.Width/2, s.Height/2, true
	return s
}

func (s Size) metrics() emulation.SetDeviceMetricsOverrideParams {
	scale := 1.0
	if s.twice {
		scale = 2
	}
	return emulation.SetDeviceMetricsOverrideParams{Width: s.Width, Height: s.Height, DeviceScaleFactor: scale, Mobile: s.Touch}
}

// The screens that pages are made for.
var (
	Landscape = Size{Name: "landscape", Width: 1280, Height: 800}
	Upright   = Size{Name: "upright", Width: 820, Height: 1180, Touch: true}
	Phone     = Size{Name: "phone", Width: 390, Height: 844, Touch: true}
)

// Page is a tab.
type Page struct {
	b    *Browser
	ctx  context.Context
	Size Size
	taps int
	*tally

	media media
	keys  *keys // nil where a pointer is used
	dead  bool  // scripts of pages do not run, nor what would look again by itself
	*watch
}

// Page opens a tab of a size.
func (b *Browser) Page(s Size) *Page {
	b.t.Helper()
	ctx := b.tab()
	p := &Page{b: b, ctx: ctx, Size: s, tally: new(tally), watch: newWatch()}
	if err := chromedp.Listen(ctx, p.watch.hear); err != nil {
		b.t.Fatalf("open a tab: %v", err)
	}
	call(p, "hear the network", network.Enable, network.EnableParams{})
	call(p, "hear errors", log.Enable, cdp.Empty{})
	call(p, "hear the program itself", network.SetBypassServiceWorker, network.SetBypassServiceWorkerParams{Bypass: true})
	call(p, "choose a screen", emulation.SetDeviceMetricsOverride, s.metrics())
	call(p, "choose a screen", emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: s.Touch})
	call(p, "be looked at", emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}) // whatever other tabs there are
	return p
}

// call gives the browser a command and fails the test if it does not obey in
// time.
func call[P, R any](p *Page, what string, command cdp.Command[P, R], params P) R {
	p.b.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	r, err := chromedp.Call(ctx, command, params)
	if err != nil {
		p.fail("%s: %v", what, err)
	}
	return r
}

// do runs an action and fails the test if it cannot be done in time.
func do[T any](p *Page, what string, action chromedp.Action[T]) T {
	p.b.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	v, err := chromedp.Run(ctx, action)
	if err != nil {
		p.fail("%s: %v", what, err)
	}
	return v
}

// eval evaluates an expression in the page. Where the page was just replaced
// and what the expression speaks of is not there, it is asked again.
func eval[T any](p *Page, expression string) (v T) {
	p.b.t.Helper()
	p.try("evaluate", func(ctx context.Context) (err error) {
		v, err = chromedp.Run(ctx, chromedp.Evaluate[T](expression))
		return err
	})
	return v
}

// tell has the page do something that it may as well do twice.
func (p *Page) tell(expression string) {
	p.b.t.Helper()
	eval[chromedp.Void](p, expression)
}

// Rests has the page hear of nothing that happens elsewhere, so that it stays
// as it is.
func (p *Page) Rests() {
	p.b.t.Helper()
	call(p, "hear no events", network.SetBlockedURLs, network.SetBlockedURLsParams{URLPatterns: []*network.BlockPattern{{URLPattern: "*://*:*/live", Block: true}}})
}

// Worker lets the pages' own worker come between page and program, as in a
// browser that nobody tests with.
func (p *Page) Worker() {
	p.b.t.Helper()
	call(p, "let the worker in", network.SetBypassServiceWorker, network.SetBypassServiceWorkerParams{})
}

// Open goes to an address.
func (p *Page) Open(url string) {
	p.b.t.Helper()
	p.watch.clear()
	do(p, "open "+url, chromedp.Navigate(url))
	p.settle()
}

// OpenUntil goes to an address, again and again, until the page there shows a
// text: what it shows comes from another machine.
func (p *Page) OpenUntil(url, text string) {
	p.b.t.Helper()
	p.try(fmt.Sprintf("find %q at %s", text, url), func(ctx context.Context) error {
		p.Open(url)
		is, err := chromedp.Run(ctx, chromedp.Evaluate[bool](shows(text)))
		if err == nil && !is {
			err = errors.New("not yet")
		}
		return err
	})
}

// WeightOf opens an address as on a first visit, with nothing kept from
// before, and returns how many bytes came over the line without photographs.
func (p *Page) WeightOf(url string) int {
	p.b.t.Helper()
	call(p, "keep nothing", network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true})
	p.Open(url)
	w := p.Weight()
	call(p, "keep things", network.SetCacheDisabled, network.SetCacheDisabledParams{})
	return w
}

// settle waits until the page is loaded.
func (p *Page) settle() {
	p.b.t.Helper()
	p.until("the page is loaded", `document.readyState === "complete"`)
}

// Text is what the page shows.
func (p *Page) Text() string {
	p.b.t.Helper()
	return eval[string](p, `document.body.innerText`)
}

// Value is what an expression comes to in the page.
func (p *Page) Value(expression string) string {
	p.b.t.Helper()
	return eval[string](p, expression)
}

// URL is where the page is.
func (p *Page) URL() string {
	p.b.t.Helper()
	return eval[string](p, `location.href`)
}

// Shot writes a picture of the whole page.
func (p *Page) Shot(file string) {
	p.b.t.Helper()
	png := do(p, "take a picture", chromedp.FullScreenshot(100))
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		p.b.t.Fatal(err)
	}
	if err := os.WriteFile(file, png, 0o644); err != nil {
		p.b.t.Fatal(err)
	}
}

// Seen writes a picture of what is in view, with what stays in reach where it lies.
func (p *Page) Seen(file string) {
	p.b.t.Helper()
	shot := call(p, "take a picture", page.CaptureScreenshot, page.CaptureScreenshotParams{})
	if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file, shot.Data, 0o644)); err != nil {
		p.b.t.Fatal(err)
	}
}

// Part is a picture of the first element that a CSS selector finds.
func (p *Page) Part(selector string) image.Image {
	p.b.t.Helper()
	at := eval[page.Viewport](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return {x: r.x + scrollX, y: r.y + scrollY, width: r.width, height: r.height, scale: 2}; })()`, selector))
	shot := call(p, "take a picture of "+selector, page.CaptureScreenshot, page.CaptureScreenshotParams{Clip: &at, CaptureBeyondViewport: new(true)})
	img, err := png.Decode(bytes.NewReader(shot.Data))
	if err != nil {
		p.b.t.Fatal(err)
	}
	return img
}

// Print prints the page into a PDF file, on the paper that the page asks for.
func (p *Page) Print(file string) {
	p.b.t.Helper()
	printed := call(p, "print", page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: new(true)})
	if err := os.WriteFile(file, printed.Data, 0o644); err != nil {
		p.b.t.Fatal(err)
	}
}

// fail ends the test and keeps what the page looked like.
func (p *Page) fail(format string, args ...any) {
	p.b.t.Helper()
	dir := os.Getenv("FETTLEBOOK_SHOTS")
	if dir == "" {
		dir = os.TempDir()
	}
	file := filepath.Join(dir, strings.NewReplacer("/", "-", " ", "-").Replace(p.b.t.Name())+"-failed")
	ctx, cancel := context.WithTimeout(p.ctx, 30*time.Second)
	defer cancel()
	// What cannot be had any more is left out of the account.
	url, _ := chromedp.Run(ctx, chromedp.Location())
	text, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body.innerText`))
	html, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`document.documentElement.outerHTML`))
	png, _ := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	_ = os.WriteFile(file+".png", png, 0o644)
	_ = os.WriteFile(file+".html", []byte(html), 0o644)
	p.b.t.Fatalf("%s\nat %s, which shows (picture and markup: %s)\n%s", fmt.Sprintf(format, args...), url, file, text)
}

// For lets failures of the page count for another test, such as a subtest.
func (p *Page) For(t *testing.T) *Page {
	b := *p.b
	b.t = t
	return &Page{b: &b, ctx: p.ctx, Size: p.Size, keys: p.keys, dead: p.dead, tally: p.tally, watch: p.watch}
}

// Resize gives the tab another screen.
func (p *Page) Resize(s Size) {
	p.b.t.Helper()
	p.Size = s
	call(p, "choose a screen", emulation.SetDeviceMetricsOverride, s.metrics())
}

// Links are the addresses on this site that the page leads to.
func (p *Page) Links() []string {
	p.b.t.Helper()
	return eval[[]string](p, `[...document.querySelectorAll("a[href]")].map((a) => new URL(a.getAttribute("href"), location.href)).filter((u) => u.origin === location.origin).map((u) => u.pathname + u.search)`)
}
