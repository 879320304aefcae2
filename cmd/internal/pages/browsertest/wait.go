package browsertest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/chromedp/chromedp"
)

// poll is how often a condition is looked at.
const poll = 30 * time.Millisecond

// until waits until an expression is true. A page that is just being replaced
// cannot answer and is asked again.
func (p *Page) until(what, expression string) {
	p.b.t.Helper()
	p.await("wait until "+what, expression+` ? "" : "not yet"`)
}

// await waits until an expression is "" and not what is waited for. The page
// itself looks again and again: every question from outside goes through three
// processes.
func (p *Page) await(what, expression string) {
	p.b.t.Helper()
	p.try(what, func(ctx context.Context) error {
		wait, err := look[string](ctx, p, expression, `(now) => now === ""`)
		if err == nil && wait != "" {
			err = errors.New(wait)
		}
		return err
	})
}

// look evaluates an expression in the page again and again until the page holds
// its value for an answer, for as long as a breath; then it gives the value as
// it is. A page without scripts is asked once.
func look[T any](ctx context.Context, p *Page, expression, answer string) (T, error) {
	if p.dead {
		return chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	}
	ctx, cancel := context.WithTimeout(ctx, 10*breath) // a page that is gone may not say so
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](fmt.Sprintf(`new Promise((tell, fail) => {
		const look = () => %s, good = %s, last = Date.now() + %d;
		const again = () => { try { const now = look(); if (good(now) || Date.now() > last) tell(now); else setTimeout(again, %d); } catch (e) { fail(e); } };
		again(); })`, expression, answer, breath.Milliseconds(), poll.Milliseconds()), chromedp.EvalAwaitPromise))
}

// Refused waits until the browser has complained of what the page could not
// load, which comes by another way than the page, and forgets it.
func (p *Page) Refused() {
	p.b.t.Helper()
	p.try("hear that something was refused", func(context.Context) error {
		if len(p.Complaints()) == 0 {
			return errors.New("nothing was")
		}
		return nil
	})
}

// breath is how long a page looks by itself before it is asked again.
const breath = 2 * time.Second

// try does something until it goes well.
func (p *Page) try(what string, trial func(context.Context) error) {
	p.b.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, limit)
	defer cancel()
	tick := time.NewTicker(poll)
	defer tick.Stop()
	for {
		err := trial(ctx)
		if err == nil {
			return
		}
		select {
		case <-ctx.Done():
			p.fail("tried in vain to %s (%v)", what, err)
		case <-tick.C:
		}
	}
}

// Until waits until an expression is true in the page.
func (p *Page) Until(expression string) {
	p.b.t.Helper()
	p.until(expression, "Boolean("+expression+")")
}

// Sees waits until the page shows a text.
func (p *Page) Sees(text string) {
	p.b.t.Helper()
	p.until(fmt.Sprintf("the page shows %q", text), shows(text))
}

// Gone waits until the page shows a text no more.
func (p *Page) Gone(text string) {
	p.b.t.Helper()
	p.until(fmt.Sprintf("%q is gone", text), "!("+shows(text)+")")
}

func shows(text string) string {
	return fmt.Sprintf(`document.body !== null && document.body.innerText.replace(/\s+/g, " ").includes(%q)`, strings.Join(strings.Fields(text), " "))
}
