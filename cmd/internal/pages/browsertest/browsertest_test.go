package browsertest_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

var house browsertest.House

func TestMain(m *testing.M) { os.Exit(house.Run(m)) }

// serve serves one page, and an echo of what is posted.
func serve(t *testing.T, body string) string {
	t.Helper()
	mux := http.NewServeMux()
	mux.HandleFunc("GET /", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; script-src 'self'; form-action 'self'")
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprintf(w, `<!doctype html><html lang="en"><head><title>A page</title><meta name="viewport" content="width=device-width,initial-scale=1"><link rel="stylesheet" href="/style.css"></head><body>%s</body></html>`, body)
	})
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	mux.HandleFunc("GET /style.css", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/css")
		fmt.Fprint(w, `body{font:18px serif;color:#000;background:#fff;margin:0} .pale{color:#666} .tiny{font-size:9px} .wide{width:3000px;height:10px} a,button,input{font:inherit;display:inline-block;min-width:60px;min-height:60px} .small{min-width:0;min-height:0;width:20px;height:20px;overflow:hidden;padding:0}`)
	})
	mux.HandleFunc("POST /", func(w http.ResponseWriter, r *http.Request) {
		if err := r.ParseMultipartForm(1 << 20); err != nil {
			t.Error(err)
		}
		text := r.FormValue("name")
		if f, h, err := r.FormFile("file"); err == nil {
			f.Close()
			text += " with " + h.Filename
		}
		fmt.Fprintf(w, `<!doctype html><title>Got it</title><p>got %s`, text)
	})
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	return server.URL + "/"
}

const good = `<main><h1>A page</h1><p>Some text.</p><form method="post" enctype="multipart/form-data"><label for="n">Name</label> <input id="n" name="name"> <label for="f">File</label> <input id="f" type="file" name="file"> <button>Send it</button></form></main>`

// TestAGoodPage: nothing is found on it, and it can be worked, with scripts
// and without.
func TestAGoodPage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "bore.txt")
	if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	b := house.Browser(t)
	for _, script := range []bool{true, false} {
		p := b.Page(browsertest.Upright)
		if !script {
			p.NoScript()
		}
		p.Open(serve(t, good))
		p.Dark(true)
		if script {
			if found := p.Axe(true); len(found) > 0 {
				t.Errorf("found on a good page: %s", strings.Join(found, "\n"))
			}
		}
		for what, found := range map[string][]string{"small targets": p.Targets(60), "small text": p.SmallText(18), "overflow": p.Overflow(), "complaints": p.Complaints(), "strangers": p.Strangers()} {
			if len(found) > 0 {
				t.Errorf("%s on a good page: %v", what, found)
			}
		}
		if w := p.Weight(); w < 500 || w > 5000 {
			t.Errorf("it weighs %d bytes", w)
		}
		if reached := p.Walk(); len(reached) != 3 {
			t.Errorf("the Tab key reaches %v", reached)
		}
		p.Fill("Name", "masked bores")
		p.Upload("#f", file)
		p.Go("Send it")
		p.Sees("got masked bores with bore.txt")
		if p.Taps() != 1 || p.Taps() != 0 {
			t.Error("taps are not counted")
		}
	}
}

// TestFaultsAreFound: each finder finds the fault that was planted for it.
func TestFaultsAreFound(t *testing.T) {
	b := house.Browser(t)
	for fault, trial := range map[string]struct {
		body string
		find func(p *browsertest.Page) []string
		says string
	}{
		"a field without a label": {`<main><h1>A</h1><input name="x"></main>`, func(p *browsertest.Page) []string { return p.Axe(false) }, "label:"},
		"pale text":               {`<main><h1>A</h1><p class="pale">pale</p></main>`, func(p *browsertest.Page) []string { return p.Axe(true) }, "color-contrast-enhanced:"},
		"pale text, colours only": {`<main><h1>A</h1><p class="pale">pale</p></main>`, func(p *browsertest.Page) []string { return p.AxeColours(true) }, "color-contrast-enhanced:"},
		"a small button":          {`<main><h1>A</h1><button class="small">x</button></main>`, func(p *browsertest.Page) []string { return p.Targets(60) }, "BUTTON x is 20 by 20"},
		"a small link alone":      {`<main><h1>A</h1><ul><li><a class="small" href="/x">x</a></li></ul></main>`, func(p *browsertest.Page) []string { return p.Targets(60) }, "A x is 20 by 20"},
		"tiny text":               {`<main><h1>A</h1><p class="tiny">tiny</p></main>`, func(p *browsertest.Page) []string { return p.SmallText(18) }, "P 9.0 px: tiny"},
		"tiny text in a drawing":  {`<main><h1>A</h1><svg viewBox="0 0 200 100" width="100" height="50"><text y="50" font-size="20">drawn</text></svg></main>`, func(p *browsertest.Page) []string { return p.SmallText(18) }, "text 10.0 px: drawn"},
		"something too wide":      {`<main><h1>A</h1><div class="wide">w</div></main>`, func(p *browsertest.Page) []string { return p.Overflow() }, "DIV.wide reaches 3000"},
		"a style in the markup":   {`<main><h1 style="color:red">A</h1></main>`, func(p *browsertest.Page) []string { return p.Complaints() }, "Content Security Policy"},
		"another machine":         {`<main><h1>A</h1><img alt="" src="http://192.0.2.1/x.png"></main>`, func(p *browsertest.Page) []string { return p.Strangers() }, "192.0.2.1"},
	} {
		t.Run(fault, func(t *testing.T) {
			p := b.Page(browsertest.Upright)
			p.Open(serve(t, trial.body))
			p.Sees("A")
			if found := strings.Join(trial.find(p), "\n"); !strings.Contains(found, trial.says) {
				t.Errorf("not found; got %q", found)
			}
		})
	}
}

// TestKilled: a browser that was killed can be started again with what it
// kept.
func TestKilled(t *testing.T) {
	profile := t.TempDir()
	url := serve(t, good)
	b := browsertest.Start(t, profile)
	p := b.Page(browsertest.Phone)
	p.Open(url)
	p.Sees("Some text.")
	b.Kill()
	again := browsertest.Start(t, profile).Page(browsertest.Phone)
	again.Open(url)
	again.Sees("Some text.")
}

// TestOffline: a tab that was cut off asks in vain until it is let back.
func TestOffline(t *testing.T) {
	p := house.Browser(t).Page(browsertest.Landscape)
	p.Open(serve(t, good))
	p.Offline(true)
	p.Click("Send it")
	p.Gone("Some text.")
	p.Offline(false)
	p.Open(serve(t, good))
	p.Sees("Some text.")
}
