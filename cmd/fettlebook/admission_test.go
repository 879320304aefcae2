package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"

	"github.com/klauspost/compress/zstd"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

// door is a hub that runs with its own flags and files, and what it logs.
type door struct {
	t      *testing.T
	hub    string
	desk   string // of the network, over TLS
	broker string
	log    *until
	pages  string       // the desk's, at the machine itself
	fresh  *http.Client // never signed in
	codec  *segment.Codec
}

// lines are those that were logged so far and have a word in them.
func (d *door) lines(word string) (list []string) {
	d.log.mu.Lock()
	defer d.log.mu.Unlock()
	for line := range strings.Lines(d.log.said.String()) {
		if strings.Contains(line, word) {
			list = append(list, line)
		}
	}
	return list
}

// refusals are how much was refused so far, by what it was.
func (d *door) refusals() map[string]string {
	d.t.Helper()
	q, err := http.NewRequestWithContext(d.t.Context(), http.MethodGet, d.pages+"/metrics", nil)
	if err != nil {
		d.t.Fatal(err)
	}
	r, err := d.fresh.Do(q)
	if err != nil {
		d.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		d.t.Fatal(err)
	}
	list := map[string]string{}
	for _, found := range regexp.MustCompile(`(?m)^fettlebook_refusals_total\{what="([^"]+)"\} (\d+)$`).FindAllStringSubmatch(string(text), -1) {
		list[found[1]] = found[2]
	}
	return list
}

// notedLine is a line that is logged when somebody is refused: its keys, which are always the
// same, and what is counted with it.
type notedLine struct {
	keys  []string
	count string
}

// refusalLines has every line that is logged of a refusal, by its message.
func refusalLines() map[string]notedLine {
	return map[string]notedLine{
		"message server":   {[]string{"text"}, "message server"},
		"question refused": {[]string{"device", "what", "error"}, "question"},
		"quarantine":       {[]string{"device", "reason"}, "question"},
		"join refused":     {[]string{"device", "from", "error"}, "join"},
		"sign-in refused":  {[]string{"role", "person", "from", "error"}, "sign-in"},
		"not let in":       {[]string{"from", "path", "status"}, "page"},
		"token refused":    {[]string{"from", "path"}, "token"},
	}
}

// parseLine reads the message and the keys of a logged line.
func parseLine(t *testing.T, line string) (message string, keys []string) {
	t.Helper()
	for rest := strings.TrimSpace(line); rest != ""; rest = strings.TrimPrefix(rest, " ") {
		key, after, ok := strings.Cut(rest, "=")
		if !ok {
			t.Fatalf("this is not a line of the log: %s", line)
		}
		value, _, _ := strings.Cut(after, " ")
		if quoted, err := strconv.QuotedPrefix(after); err == nil {
			value = quoted
		}
		rest = after[len(value):]
		if text, err := strconv.Unquote(value); err == nil {
			value = text
		}
		switch key {
		case "time", "level":
		case "msg":
			message = value
		default:
			keys = append(keys, key)
		}
	}
	return message, keys
}

func (d *door) do(in string, args ...string) string {
	d.t.Helper()
	var said bytes.Buffer
	if code := run(d.t.Context(), args, strings.NewReader(in), &said, &said); code != exit.OK {
		d.t.Fatalf("%v ends with %d: %s", args, code, &said)
	}
	return said.String()
}

func (d *door) invite(name string) segment.Invitation {
	d.t.Helper()
	var invited struct{ Invitation string }
	if err := json.Unmarshal([]byte(d.do("", "hub", "invite", "--data", d.hub, "--by", "io", "--name", name, "--json")), &invited); err != nil {
		d.t.Fatal(err)
	}
	i, err := segment.ParseInvitation(invited.Invitation)
	if err != nil {
		d.t.Fatal(err)
	}
	return i
}

func (d *door) applicant(i segment.Invitation) uplink.Applicant {
	d.t.Helper()
	a, err := shoptest.Applicant(journal.ShopID(i.Shop), "bench")
	if err != nil {
		d.t.Fatal(err)
	}
	return a
}

// dial connects to the broker, with a key or with none.
func (d *door) dial(pin string, key nkeys.KeyPair, opts ...nats.Option) (*nats.Conn, error) {
	opts = append([]nats.Option{nats.Secure(broker.ClientTLS(pin)), nats.NoReconnect(), nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {})}, opts...)
	if key != nil {
		public, err := key.PublicKey()
		if err != nil {
			d.t.Fatal(err)
		}
		opts = append(opts, nats.Nkey(public, key.Sign))
	}
	return nats.Connect("tls://"+d.broker, opts...)
}

// page asks a page of the desk over the network.
func (d *door) page(client *http.Client, method, path string, body io.Reader, with ...string) (int, string) {
	d.t.Helper()
	q, err := http.NewRequestWithContext(d.t.Context(), method, "https://"+d.desk+path, body)
	if err != nil {
		d.t.Fatal(err)
	}
	for i := 0; i+1 < len(with); i += 2 {
		if q.Header.Set(with[i], with[i+1]); with[i] == "Host" {
			q.Host = with[i+1]
		}
	}
	r, err := client.Do(q)
	if err != nil {
		d.t.Fatal(err)
	}
	defer r.Body.Close()
	said, err := io.ReadAll(r.Body)
	if err != nil {
		d.t.Fatal(err)
	}
	return r.StatusCode, string(said)
}

func openDoor(t *testing.T) *door {
	t.Helper()
	d := &door{t: t, hub: filepath.Join(t.TempDir(), "hub"), log: &until{word: "\x00", stop: func() {}}}
	desk, port := freePort(t), freePort(t)
	d.desk, d.broker = net.JoinHostPort("127.0.0.1", desk), net.JoinHostPort("127.0.0.1", port)
	d.do("", "hub", "init", "--data", d.hub, "--shop", "Tin Lantern Finishing", "--by", "io", "--host", "127.0.0.1", "--desk-port", desk, "--broker-port", port)
	d.do("a lamp over the bench\n", "hub", "passphrase", "--data", d.hub)
	var err error
	if d.codec, err = segment.NewCodec(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.codec.Close)
	token := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(token, []byte(testToken), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var running sync.WaitGroup
	t.Cleanup(func() { stop(); running.Wait() })
	ready := make(chan struct{})
	out := &until{word: "is open in the browser", stop: sync.OnceFunc(func() { close(ready) })}
	running.Go(func() {
		if code := run(ctx, []string{"hub", "run", "--verbose", "--data", d.hub, "--pages", "127.0.0.1:0", "--token-file", token}, strings.NewReader(""), out, d.log); code != exit.OK {
			t.Errorf("the hub ends with %d: %s", code, &d.log.said)
		}
	})
	select {
	case <-ready:
	case <-time.After(time.Minute):
		t.Fatal("the hub did not start")
	}
	out.mu.Lock()
	defer out.mu.Unlock()
	d.pages = regexp.MustCompile(`http://[0-9.:]+`).FindString(out.said.String())
	trust := &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}} // whose it is is asked elsewhere
	t.Cleanup(trust.CloseIdleConnections)
	stay := func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	d.fresh = &http.Client{Transport: trust, CheckRedirect: stay}
	return d
}

// attempt is something that somebody tries. It returns what the hub said, and whether it
// was refused; logs is a word of the one line that is logged for it.
type attempt struct {
	name, logs string
	try        func() (said string, refused bool)
}

// Whoever is not let in, and whoever is and wants more than is his, is refused, the hub's
// log has one line of it, whose keys are always the same, and one figure of its own counts it.
func TestAdmission(t *testing.T) {
	t.Parallel()
	d := openDoor(t)
	invited := d.invite("bench 1")
	insider := d.applicant(invited)
	if _, err := uplink.Join(t.Context(), invited, insider, broker.ClientTLS(invited.Fingerprint)); err != nil {
		t.Fatal(err)
	}
	pin, shop := invited.Fingerprint, journal.ShopID(invited.Shop)
	revoked := d.applicant(invited)
	second := d.invite("bench 2")
	if _, err := uplink.Join(t.Context(), second, revoked, broker.ClientTLS(pin)); err != nil {
		t.Fatal(err)
	}
	d.do("", "add", "--data", d.hub, "--by", "io", "device.revoked", "--subject", "device/"+string(revoked.Device), "device="+string(revoked.Device), "reason=left on a car roof")

	violations := make(chan error, 64)
	inside, err := d.dial(pin, insider.Line, nats.CustomInboxPrefix(segment.Inbox(insider.Device)),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { violations <- err }))
	if err != nil {
		t.Fatal(err)
	}
	defer inside.Close()
	ask := func(what segment.What, raw []byte) (string, bool) {
		m, err := inside.Request(segment.AskSubject(shop, insider.Device, what), raw, 10*time.Second)
		if err != nil {
			return err.Error(), false
		}
		var a segment.Answer
		if err := d.codec.Unmarshal(m.Data, &a); err != nil {
			return err.Error(), false
		}
		return a.Refused, a.Refused != ""
	}
	wire := func(q any) []byte {
		raw, err := d.codec.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	come := func(key nkeys.KeyPair, opts ...nats.Option) func() (string, bool) {
		return func() (string, bool) {
			conn, err := d.dial(pin, key, opts...)
			if err == nil {
				conn.Close()
				return "let in", false
			}
			return err.Error(), true
		}
	}
	knock := func(i segment.Invitation, a uplink.Applicant) func() (string, bool) {
		return func() (string, bool) {
			_, err := uplink.Join(t.Context(), i, a, broker.ClientTLS(i.Fingerprint))
			return fmt.Sprint(err), err != nil
		}
	}
	// reach publishes or listens where he may not, and is refused if nothing comes of it.
	reach := func(subject string) func() (string, bool) {
		return func() (string, bool) {
			_, err := inside.Request(subject, []byte("x"), 200*time.Millisecond)
			return fmt.Sprint(err), err != nil
		}
	}
	listen := func(subject string) func() (string, bool) {
		return func() (string, bool) {
			for len(violations) > 0 {
				<-violations
			}
			if _, err := inside.SubscribeSync(subject); err != nil {
				return err.Error(), true
			}
			select {
			case err := <-violations:
				return err.Error(), true
			case <-time.After(5 * time.Second):
				return "he may listen", false
			}
		}
	}
	status := func(want int, method, path string, body func() io.Reader, with ...string) func() (string, bool) {
		return func() (string, bool) {
			var b io.Reader
			if body != nil {
				b = body()
			}
			got, said := d.page(d.fresh, method, path, b, with...)
			return fmt.Sprintf("%d %.60s", got, said), got == want && !strings.Contains(said, "root:")
		}
	}
	form := func(s string) func() io.Reader { return func() io.Reader { return strings.NewReader(s) } }
	stranger, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	guessed, unknown := d.invite("bench 3"), d.invite("bench 4")
	for i := range guessed.Token {
		guessed.Token[i] ^= 0x5a
	}
	unknown.Token = make([]byte, len(unknown.Token))
	forged := d.applicant(invited)
	forged.Device = insider.Device // under a name that is taken, with keys of its own
	if forged.Log, err = proof.NewKey(rand.Reader, proof.Origin(shop, insider.Device)); err != nil {
		t.Fatal(err)
	}
	pack, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	bomb := pack.EncodeAll(make([]byte, 64<<20), nil)
	const denied = "Violation"
	attempts := []attempt{
		{"message server: nobody", "authentication error", come(nil)},
		{"message server: a key that nobody knows", "authentication error", come(stranger)},
		{"message server: a name and a password", "authentication error", come(nil, nats.UserInfo("hub", "hub"))},
		{"message server: a revoked tablet", "authentication error", come(revoked.Line)},
		{"insider: another's questions", denied, reach(segment.AskSubject(shop, revoked.Device, segment.Greet))},
		{"insider: another's inbox", denied, reach(segment.Inbox(revoked.Device) + ".x")},
		{"insider: the stream, under his own name", denied, reach(segment.LogSubject(shop, insider.Device))},
		{"insider: the news", denied, reach(segment.News(shop))},
		{"insider: the stream's interface", denied, reach("$JS.API.STREAM.LIST")},
		{"insider: deletes the stream", denied, reach("$JS.API.STREAM.DELETE." + segment.Stream(shop))},
		{"insider: the server's interface", denied, reach("$SYS.REQ.SERVER.PING")},
		{"insider: hears everything", denied, listen(">")},
		{"insider: hears another's answers", denied, listen(segment.Inbox(revoked.Device) + ".>")},
		{"insider: hears the questions", denied, listen(segment.AskSubjects(shop))},
		{"insider: hears the logs", denied, listen(segment.LogSubjects(shop))},
		{"question: none that there is", "does not know this question", func() (string, bool) { return ask("coffee", wire("x")) }},
		{"question: a bomb", "msg=\"question refused\"", func() (string, bool) { return ask(segment.Greet, bomb) }},
		{"question: garbage", "msg=\"question refused\"", func() (string, bool) { return ask(segment.Range, []byte("garbage")) }},
		{"send: garbage", "msg=quarantine", func() (string, bool) { return ask(segment.Send, wire(segment.GiveAsk{Segment: []byte("garbage")})) }},
		{"send: a bomb in it", "msg=quarantine", func() (string, bool) { return ask(segment.Send, wire(segment.GiveAsk{Segment: bomb})) }},
		{"question: its answer wanted elsewhere", "wanted elsewhere", func() (string, bool) {
			err := inside.PublishRequest(segment.AskSubject(shop, insider.Device, segment.Greet), segment.Inbox(revoked.Device)+".x", wire(segment.Greeting{}))
			return "nothing", err == nil
		}},
		{"give: his own log", "gives other devices", func() (string, bool) {
			raw, err := d.codec.Encode(journal.Segment{Device: insider.Device, Entries: [][]byte{[]byte("{}")}})
			if err != nil {
				t.Fatal(err)
			}
			return ask(segment.Give, wire(segment.GiveAsk{Segment: raw}))
		}},
		{"photograph: that no entry names", "no entry at the hub names", func() (string, bool) {
			return ask(segment.Offer, wire(segment.PhotoAsk{Ref: make([]byte, 32), Size: 100}))
		}},
		{"photograph: a hash of three bytes", "has 32 bytes", func() (string, bool) {
			return ask(segment.Offer, wire(segment.PhotoAsk{Ref: []byte("abc"), Size: 100}))
		}},
		{"card: oversize", "are allowed", func() (string, bool) {
			return ask(segment.Cards, wire(segment.CardsAsk{Cards: []segment.Card{{Card: "c1", Details: journal.Details{Name: strings.Repeat("x", 100<<10)}, Salt: make([]byte, 32), Changed: make([]byte, 16)}}}))
		}},
		{"join: an invitation that was used", "already been used", knock(invited, d.applicant(invited))},
		{"join: a guessed token", "is not known here", knock(guessed, d.applicant(invited))},
		{"join: a token of zeros", "is not known here", knock(unknown, d.applicant(invited))},
		{"join: under a name that is taken", "of this name is here already", knock(d.invite("bench 5"), forged)},
		{"join: a revoked tablet", "this tablet was revoked", knock(d.invite("bench 6"), revoked)},
		{"join: garbage", "cannot be read", status(403, http.MethodPost, segment.JoinPath, form("{"))},
		{"join: oversize", "cannot be read", status(403, http.MethodPost, segment.JoinPath, form(`{"name":"`+strings.Repeat("x", 64<<10)+`"}`))},
		{"desk: a wrong passphrase", "sign-in refused", status(422, http.MethodPost, "/signin", form(url.Values{"passphrase": {"guess"}}.Encode()), "Content-Type", "application/x-www-form-urlencoded", "Origin", "https://"+d.desk)},
		{"desk: from nowhere", "not let in", status(403, http.MethodPost, "/signin", form("passphrase=x"))},
		{"desk: from another site", "not let in", status(403, http.MethodPost, "/signin", form("passphrase=x"), "Sec-Fetch-Site", "cross-site")},
		{"desk: from another origin", "not let in", status(403, http.MethodPost, "/signin", form("passphrase=x"), "Origin", "https://elsewhere.example")},
		{"desk: by another name", "not let in", status(421, http.MethodGet, "/", nil, "Host", "elsewhere.example")},
		{"figures: by a name that was pointed here", "not let in", func() (string, bool) {
			q, err := http.NewRequestWithContext(t.Context(), http.MethodGet, d.pages+"/metrics", nil)
			if err != nil {
				t.Fatal(err)
			}
			q.Host = "elsewhere.example"
			r, err := d.fresh.Do(q)
			if err != nil {
				t.Fatal(err)
			}
			r.Body.Close()
			return r.Status, r.StatusCode == http.StatusMisdirectedRequest
		}},
		{"figures: no token", "token refused", status(401, http.MethodGet, "/metrics", nil)},
		{"figures: another token", "token refused", status(401, http.MethodGet, "/metrics", nil, "Authorization", "Bearer "+testToken[1:])},
		{"feed: no token", "token refused", status(401, http.MethodGet, "/feed", nil)},
		{"desk: oversize", "not let in", status(413, http.MethodPost, "/signin", form(strings.Repeat("x", 1<<20)), "Origin", "https://"+d.desk)},
	}
	lines := refusalLines()
	for _, a := range attempts {
		before, counted := len(d.lines(a.logs)), d.refusals()
		said, refused := a.try()
		if !refused {
			t.Errorf("%s: %s", a.name, said)
		}
		limit := time.After(3 * time.Second)
		for tick := time.NewTicker(5 * time.Millisecond); len(d.lines(a.logs)) == before; {
			select {
			case <-tick.C:
				continue
			case <-limit:
				t.Errorf("%s: nothing is logged", a.name)
			}
			break
		}
		now := d.lines(a.logs)[before:]
		t.Logf("%-42s %s", a.name, said)
		if len(now) != 1 {
			t.Errorf("%s: %d lines with %q are logged", a.name, len(now), a.logs)
			continue
		}
		message, keys := parseLine(t, now[0])
		line, ok := lines[message]
		if !ok || !slices.Equal(keys, line.keys) {
			t.Errorf("%s: the keys %q are logged, want %q: %s", a.name, keys, line.keys, now[0])
		}
		for what, n := range d.refusals() {
			had, err := strconv.Atoi(counted[what])
			if err != nil {
				t.Fatal(err)
			}
			if what == line.count {
				had++
			}
			if n != strconv.Itoa(had) {
				t.Errorf("%s: of %s %s are counted, want %d", a.name, what, n, had)
			}
		}
	}
	// Nothing of a page is seen by who is not signed in, whatever path he asks for.
	for _, path := range []string{"/", "/vehicles", "/people", "/shelf", "/job/4f7kk2m9", "/assets/../../hub.json", "/assets/%2e%2e/%2e%2e/log.key", "/assets/..%2f..%2f..%2fetc%2fpasswd", "/..//etc/passwd"} {
		if code, said := d.page(d.fresh, http.MethodGet, path, nil); code == http.StatusOK && !strings.Contains(said, "passphrase") || strings.Contains(said, "root:") || strings.Contains(said, "BEGIN") {
			t.Errorf("%s: %d %.80s", path, code, said)
		}
	}
}
