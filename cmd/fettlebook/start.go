package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"time"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
)

// startHere is what the program does when it is given no command, as by a double click.
type startHere struct {
	Pages   string  `default:"127.0.0.1:7459" help:"Where this machine’s own browser finds a first start, and the desk’s pages (default: ${default}). If another program is there, a free port is taken." placeholder:"ADDRESS"`
	Browser bool    `default:"true" negatable:"" help:"Open the browser; without a display the address is printed either way."`
	At      benchAt `embed:"" prefix:"bench-"`
	New     hubAt   `embed:"" group:"Where the hub is in the network, kept for the next starts:"`
}

// Run opens what is in the data folder: a hub, with its bench if it has one, or a tablet.
// On a fresh machine it asks in the browser which of them this is to be. What runs already
// is shown and not started again.
func (c *startHere) Run(ctx context.Context, t *terminal) error {
	c.At.prefix, c.At.yields = "bench-", true
	if c.At.Pages == off {
		return &exit.Error{Status: exit.Usage, Sentence: "--bench-pages off: a start needs its pages; `fettlebook hub run` and `fettlebook tablet run` do without"}
	}
	if at := runningPages(ctx, t.Data); at != "" {
		return c.shown(ctx, t, at)
	}
	id, err := folder.ReadIdentity(t.Data)
	switch {
	case errors.Is(err, folder.ErrNoFolder), err == nil && id.Role == folder.Joining:
		return c.first(ctx, t)
	case err != nil:
		return err
	}
	t.Opened = func(address string) { c.browse(ctx, t, address) }
	if id.Role == folder.Tablet {
		err = (&tabletRun{benchAt: c.At}).Run(ctx, t)
	} else {
		entry, opens := c.entry(ctx, t)
		if opens != nil {
			return stopped(ctx, opens)
		}
		defer entry.close(ctx)
		err = c.hub(hasBench(t.Data)).serve(ctx, t, entry)
	}
	if errors.Is(err, folder.ErrInUse) { // another start that is a moment ahead
		if at := awaitPages(ctx, t.Data); at != "" {
			return c.shown(ctx, t, at)
		}
	}
	return err
}

// hub is how the hub runs that was started so.
func (c *startHere) hub(bench bool) *hubRun {
	return &hubRun{Pages: c.Pages, Bench: bench, At: c.At, New: c.New}
}

// hasBench reports whether a hub keeps a bench in its own process.
func hasBench(dir string) bool {
	_, err := folder.ReadIdentity(filepath.Join(dir, benchFolder))
	return err == nil
}

// entry opens the front page, at another port if its own is taken.
func (c *startHere) entry(ctx context.Context, t *terminal) (*frontPage, error) {
	if c.Pages == off {
		return nil, &exit.Error{Status: exit.Usage, Sentence: "--pages off: a start needs its page; `fettlebook hub run` and `fettlebook tablet run` do without"}
	}
	l, err := listenYielding(ctx, "pages", c.Pages)
	if err != nil {
		return nil, err
	}
	return newFrontPage(ctx, t, l)
}

// first lets somebody choose in the browser what this machine is to be, and then is it.
func (c *startHere) first(ctx context.Context, t *terminal) error {
	if at := "http://" + c.Pages; showsFirstStart(ctx, at, t.Data) {
		return c.shown(ctx, t, at)
	}
	entry, err := c.entry(ctx, t)
	if err != nil {
		return stopped(ctx, err)
	}
	defer entry.close(ctx)
	began, err := entry.begin(ctx, t, c.New, true, func() { c.browse(ctx, t, entry.address) })
	if err != nil || ctx.Err() != nil {
		return stopped(ctx, err)
	}
	if began.role == folder.Hub {
		return c.hub(began.bench).serve(ctx, t, entry)
	}
	t.Opened = entry.joined
	return (&tabletRun{benchAt: c.At}).Run(ctx, t)
}

// shown leads to pages that another process serves.
func (c *startHere) shown(ctx context.Context, t *terminal, address string) error {
	fmt.Fprintf(t.Out, "It runs already; its pages are in the browser at %s\n", address)
	c.browse(ctx, t, address)
	return nil
}

// browse opens the browser, where there is one. The address was printed before.
func (c *startHere) browse(ctx context.Context, t *terminal, address string) {
	if !c.Browser {
		return
	}
	if err := openBrowser(ctx, address); err != nil {
		t.Logger.DebugContext(ctx, "open the browser", "address", address, "error", err)
	}
}

// runningPages is where the program that holds a folder shows its pages, "" if none does. A
// hub with a bench is found by its bench, which is what one who works alone looks at.
func runningPages(ctx context.Context, dir string) string {
	for _, one := range []string{filepath.Join(dir, benchFolder), dir} {
		at, err := control.Dial(one)
		if err != nil {
			continue
		}
		var status struct {
			Pages string `json:"pages"`
		}
		err = at.Status(ctx, &status)
		if err := errors.Join(err, at.Close()); err == nil && status.Pages != "" {
			return status.Pages
		}
	}
	return ""
}

// A program that holds the folder opens its pages soon, or not at all.
const (
	soon    = 15 * time.Second
	tellTry = 200 * time.Millisecond
)

// awaitPages is runningPages as soon as they are there.
func awaitPages(ctx context.Context, dir string) string {
	ctx, cancel := context.WithTimeout(ctx, soon)
	defer cancel()
	tick := time.NewTicker(tellTry)
	defer tick.Stop()
	for {
		if at := runningPages(ctx, dir); at != "" {
			return at
		}
		select {
		case <-ctx.Done():
			return ""
		case <-tick.C:
		}
	}
}

// firstStartPath says to a second start for which folder the first one asks.
const firstStartPath = "/first-start"

// folderMark tells folders apart without naming them.
func folderMark(dir string) string {
	sum := sha256.Sum256([]byte("fettlebook first start " + dir))
	return hex.EncodeToString(sum[:16])
}

// showsFirstStart reports whether a first start of the folder is shown at an address.
func showsFirstStart(ctx context.Context, address, dir string) bool {
	ctx, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address+firstStartPath, nil)
	if err != nil {
		return false
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return false
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(io.LimitReader(answer.Body, 64))
	return err == nil && answer.StatusCode == http.StatusOK && string(text) == folderMark(dir)
}
