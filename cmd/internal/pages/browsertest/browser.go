// Package browsertest drives a real browser, Debian's Chromium, against pages
// that a real program serves. It is imported by tests only.
//
//	b := browsertest.Start(t, t.TempDir())
//	p := b.Page(browsertest.Upright)
//	p.Open("http://127.0.0.1:7462/")
//	p.Click("Start a job")
//	p.Fill("Plate", "TRL 4471")
//	p.Sees("TRL 4471")
//
// Nothing sleeps: every action waits for its condition as long as the test
// has time. What goes wrong is told with the text of the page, a picture of it
// and its markup, in the folder that FETTLEBOOK_SHOTS names.
package browsertest

import (
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"fettlebook/media/durable"

	"github.com/chromedp/chromedp"
)

// Browser is a running Chromium.
type Browser struct {
	t      *testing.T
	ctx    context.Context
	cancel context.CancelFunc
	proc   *os.Process

	unused  bool     // the tab that it began with
	checker *checker // of accessibility
}

// limit is how long one action may wait for its condition, on a machine that
// has much else to do.
const limit = 3 * time.Minute

// shell is Chromium without what only a window needs, of Debian's package
// chromium-headless-shell: the same pages for little more than half the work.
// It is named by its file, since the command of that name is a script that
// stays before it, and killing that would kill no browser.
const shell = "/usr/lib/chromium/chromium-headless-shell"

// program finds the browser, or skips the test.
func program(t *testing.T) string {
	t.Helper()
	names := []string{shell, "chromium"}
	if name := os.Getenv("FETTLEBOOK_CHROMIUM"); name != "" {
		names = []string{name}
	}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	missing(t, "no browser is here; install Debian's package chromium-headless-shell or chromium, or name one in FETTLEBOOK_CHROMIUM")
	return ""
}

// missing skips a test for want of something outside, unless the environment
// demands that it be there.
func missing(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("FETTLEBOOK_REQUIRE_BROWSER") == "1" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// Start starts a browser with a folder for what it keeps. It ends with the
// test.
func Start(t *testing.T, profile string) *Browser {
	t.Helper()
	return start(t, profile, t.Cleanup)
}

// Lens is what the camera of a device sees: a file of MJPEG or Y4M, or "" for the
// browser's own moving picture.
type Lens string

// StartWithCamera starts a browser on a device with a camera, which any page gets that
// asks for it. Whether it was allowed before, [Page.Allow] says.
func StartWithCamera(t *testing.T, profile string, sees Lens) *Browser {
	t.Helper()
	flags := []chromedp.ExecAllocatorOption{chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true)}
	if sees != "" {
		flags = append(flags, chromedp.Flag("use-file-for-fake-video-capture", string(sees)))
	}
	return start(t, profile, t.Cleanup, flags...)
}

// roomy reports whether the browser may keep what its processes share in memory. Where a
// container leaves it too little of that it crashes, and files cost it much time.
func roomy() bool {
	room, err := durable.Free("/dev/shm")
	return err == nil && room >= 1<<30
}

func start(t *testing.T, profile string, end func(func()), more ...chromedp.ExecAllocatorOption) *Browser {
	t.Helper()
	flags := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(program(t)), chromedp.UserDataDir(profile), chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.Headless,
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("disable-background-timer-throttling", true), chromedp.Flag("disable-backgrounding-occluded-windows", true), chromedp.Flag("disable-renderer-backgrounding", true), // tests look at several pages at once
		chromedp.Flag("disable-dev-shm-usage", !roomy()), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"), chromedp.Flag("disable-features", "Translate,OptimizationHints,MediaRouter"),
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(), append(flags, more...)...)
	ctx, cancel := chromedp.NewContext(alloc)
	b := &Browser{t: t, ctx: ctx, cancel: func() { cancel(); stop() }, unused: true, checker: new(checker)}
	end(b.cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	b.proc = chromedp.FromContext(ctx).Browser.Process()
	return b
}

// forSomebody is the browser with nothing kept from before: no cookie, no
// page.
func (b *Browser) forSomebody(t *testing.T) *Browser {
	t.Helper()
	ctx, cancel := chromedp.NewContext(b.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("take the browser over: %v", err)
	}
	return &Browser{t: t, ctx: ctx, cancel: cancel, proc: b.proc, unused: true, checker: b.checker}
}

// tab is a tab of its own: the one that the browser began with, as long as
// nobody has it.
func (b *Browser) tab() context.Context {
	if b.unused {
		b.unused = false
		return b.ctx
	}
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.t.Cleanup(cancel)
	return ctx
}

// Kill ends the browser with no warning, as a tablet does that needs memory
// for its camera.
func (b *Browser) Kill() {
	b.t.Helper()
	if err := b.proc.Kill(); err != nil {
		b.t.Fatal(err)
	}
	b.cancel()
}
