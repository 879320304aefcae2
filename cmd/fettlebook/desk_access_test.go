package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/exit"
)

// A running hub's desk, as three browsers and the command line of its machine see it:
// the one passphrase, then people with passphrases of their own.
func TestPeopleAtARunningDesk(t *testing.T) {
	hub, secrets := filepath.Join(t.TempDir(), "hub"), t.TempDir()
	do := func(want int, args ...string) string {
		t.Helper()
		var said bytes.Buffer
		if code := run(t.Context(), append(args, "--data", hub), strings.NewReader(""), &said, &said); code != want {
			t.Fatalf("%v ends with %d: %s", args, code, &said)
		}
		return said.String()
	}
	secret := func(text string) string {
		file := filepath.Join(secrets, fmt.Sprintf("%x", text))
		if err := os.WriteFile(file, []byte(text+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	do(exit.OK, "hub", "init", "--shop", "Tin Lantern Finishing", "--by", "io", "--host", "127.0.0.1", "--desk-port", freePort(t), "--broker-port", freePort(t))
	do(exit.OK, "add", "person.added", "--by", "io", "person=jr", "initials=JR", "duties=bench")
	do(exit.OK, "hub", "passphrase", "--passphrase-file", secret("the desk’s own words"))

	up, stop := context.WithCancel(t.Context())
	var running sync.WaitGroup
	defer running.Wait()
	defer stop()
	ready := make(chan struct{})
	out := &until{word: "The hub of", stop: sync.OnceFunc(func() { close(ready) })}
	log := &until{word: "\x00", stop: stop}
	running.Go(func() {
		if code := run(up, []string{"hub", "run", "--data", hub, "--pages", "127.0.0.1:0"}, strings.NewReader(""), out, log); code != exit.OK {
			t.Errorf("the hub ends with %d: %s", code, &log.said)
		}
	})
	<-ready
	out.mu.Lock()
	at := regexp.MustCompile(`http://127\.0\.0\.1:\d+`).FindString(out.said.String())
	out.mu.Unlock()

	type browser struct{ *http.Client }
	fresh := func() browser {
		jar, err := cookiejar.New(nil)
		if err != nil {
			t.Fatal(err)
		}
		return browser{&http.Client{Jar: jar}}
	}
	ask := func(b browser, method, path string, form url.Values, origin string) (int, string) {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), method, at+path, strings.NewReader(form.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Accept", "text/html")
		if origin != "" {
			r.Header.Set("Origin", origin)
		}
		answer, err := b.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		body, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return answer.StatusCode, string(body)
	}
	step := func(what string, b browser, method, path string, form url.Values, status int, says string) {
		t.Helper()
		if got, body := ask(b, method, path, form, at); got != status || !strings.Contains(body, says) {
			t.Errorf("%s: %d, without %q: %s", what, got, says, body)
		}
	}
	clerk, owner, jr := fresh(), fresh(), fresh()
	in := func(name, passphrase string) url.Values {
		return url.Values{"name": {name}, "passphrase": {passphrase}, "back": {"/people"}}
	}
	if got, body := ask(clerk, "POST", "/signin", in("", "the desk’s own words"), ""); got != http.StatusForbidden || !strings.Contains(body, "does not say from which page") {
		t.Errorf("sent from nowhere: %d %s", got, body)
	}
	step("the desk’s one", clerk, "POST", "/signin", in("", "the desk’s own words"), 200, "with the desk’s passphrase")

	// The hub's machine gives jr one: who came by the desk's is out, which is the owner's now.
	if said := do(exit.OK, "hub", "passphrase", "--for", "jr", "--passphrase-file", secret("two brushes and a bucket")); said != "The passphrase of JR is set.\n" {
		t.Errorf("it says %q", said)
	}
	do(exit.NotFound, "hub", "passphrase", "--for", "zz", "--passphrase-file", secret("two brushes and a bucket"))
	do(exit.Refused, "hub", "passphrase", "--for", "jr", "--passphrase-file", secret("short"))
	step("who came by the desk’s", clerk, "GET", "/people", nil, 200, "Short name or initials")
	step("no name", owner, "POST", "/signin", in("", "the desk’s own words"), 422, "Type your short name")
	step("another’s", owner, "POST", "/signin", in("io", "two brushes and a bucket"), 422, "do not belong together")
	step("the owner", owner, "POST", "/signin", in("io", "the desk’s own words"), 200, "IO, from 127.0.0.1: 1 try without the right passphrase")
	step("jr", jr, "POST", "/signin", in("JR", "two brushes and a bucket"), 200, "by name")

	// jr writes in no other name and keeps no register, whichever way it is asked for.
	step("a page of the register", jr, "GET", "/write/person.added/person/new", nil, 403, "IO is.")
	step("what is sent to it", jr, "POST", "/write/person.added/person/new", url.Values{"do": {"save"}, "person": {"zz"}, "initials": {"ZZ"}}, 403, "IO is.")
	step("a tool", jr, "GET", "/write/tool.registered/tool/new", nil, 403, "JR is not authorised to keep the register and the tablets")
	step("an invitation", jr, "POST", "/people/invite", url.Values{"name": {"bench 1"}}, 403, "IO is.")
	step("a tapped name", jr, "POST", "/who", url.Values{"by": {"io"}}, 403, "Signed in as JR")
	step("the owner’s page of the register", owner, "GET", "/write/person.added/person/new", nil, 200, "Put on the register")
	step("an invitation by the owner", owner, "POST", "/people/invite", url.Values{"name": {"bench 1"}}, 200, "FETTLE1.")

	// The owner sets jr's anew, jr is out at once; then jr leaves the shop.
	anew := url.Values{"confirm": {"the desk’s own words"}, "passphrase": {"a third way to say it"}, "again": {"a third way to say it"}}
	step("anew", owner, "POST", "/people/passphrase/jr", anew, 200, "People and tablets")
	step("jr’s session", jr, "GET", "/people", nil, 200, "Short name or initials")
	step("jr again", jr, "POST", "/signin", in("jr", "a third way to say it"), 200, "People and tablets")
	own := url.Values{"confirm": {"a third way to say it"}, "passphrase": {"a fourth way to say it"}, "again": {"a fourth way to say it"}}
	step("jr’s own", jr, "POST", "/people/passphrase/jr", own, 200, "People and tablets")
	do(exit.OK, "add", "person.retired", "--by", "io", "person=jr")
	deadline, again := time.After(time.Minute), time.NewTicker(10*time.Millisecond)
	defer again.Stop()
	for out := false; !out; { // as soon as the desk has heard of it
		_, body := ask(jr, "GET", "/people", nil, at)
		if out = strings.Contains(body, "Short name or initials"); out {
			break
		}
		select {
		case <-deadline:
			t.Fatal("who has left the shop is still in")
		case <-again.C:
		}
	}
	step("who has left, again", jr, "POST", "/signin", in("jr", "a fourth way to say it"), 422, "do not belong together")
	do(exit.OK, "hub", "passphrase", "--passphrase-file", secret("found at the hub’s machine"))
	step("the owner’s session", owner, "GET", "/people", nil, 200, "Short name or initials")
	step("the owner, who had lost it", owner, "POST", "/signin", in("io", "found at the hub’s machine"), 200, "People and tablets")

	log.mu.Lock()
	defer log.mu.Unlock()
	for _, line := range []string{`msg="sign-in refused" role=desk person=io from=127.0.0.1 error=`, `msg="sign-in refused" role=desk person=unknown`, `msg="refused at the door"`} {
		if !strings.Contains(log.said.String(), line) {
			t.Errorf("the log lacks %q: %s", line, &log.said)
		}
	}
	if strings.Contains(log.said.String(), "brushes") {
		t.Errorf("the log has a passphrase: %s", &log.said)
	}
}
