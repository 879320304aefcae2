package main

import (
	"context"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/sync/shoptest"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"
)

// Where a hub is follows from what was named and from what the machine has now.
func TestHubAt(t *testing.T) {
	here := folder.Identity{Host: "127.0.0.1", DeskPort: 7460, BrokerPort: 7461, Named: []string{"office.lan"}, Addresses: []string{"office.lan", "127.0.0.1"}}
	with := func(change func(*folder.Identity)) folder.Identity {
		id := here
		change(&id)
		return id
	}
	for _, trial := range []struct {
		name string
		was  folder.Identity
		at   hubAt
		want folder.Identity
	}{
		{"nothing is given", here, hubAt{}, here},
		{"ports", here, hubAt{DeskPort: 80, BrokerPort: 81}, with(func(id *folder.Identity) { id.DeskPort, id.BrokerPort = 80, 81 })},
		{"one port", here, hubAt{BrokerPort: 81}, with(func(id *folder.Identity) { id.BrokerPort = 81 })},
		{"other names", here, hubAt{Address: []string{"hub", "192.0.2.7"}}, with(func(id *folder.Identity) {
			id.Named, id.Addresses = []string{"hub", "192.0.2.7"}, []string{"hub", "192.0.2.7", "127.0.0.1"}
		})},
		{"names forgotten", here, hubAt{Address: []string{""}}, with(func(id *folder.Identity) { id.Named, id.Addresses = []string{}, []string{"127.0.0.1"} })},
		{"of an earlier program, with a name and what was the machine's own", with(func(id *folder.Identity) {
			id.Named, id.Addresses = nil, []string{"office.lan", "192.0.2.9", "127.0.0.1"}
		}), hubAt{},
			with(func(id *folder.Identity) {
				id.Named, id.Addresses = []string{"office.lan", "192.0.2.9"}, []string{"office.lan", "192.0.2.9", "127.0.0.1"}
			})},
		{"another address of the machine", here, hubAt{Host: "127.0.0.2"}, with(func(id *folder.Identity) { id.Host, id.Addresses = "127.0.0.2", []string{"office.lan", "127.0.0.2"} })},
	} {
		if got, err := trial.at.over(trial.was); err != nil || !cmp.Equal(got, trial.want) {
			t.Errorf("%s: %v %s", trial.name, err, cmp.Diff(trial.want, got))
		}
	}
	for name, at := range map[string]hubAt{"a port too high": {DeskPort: 65536}, "a port too low": {BrokerPort: -1}, "one port twice": {DeskPort: 7461},
		"with a port": {Address: []string{"office.lan:7461"}}, "an address of the web": {Address: []string{"https://office.lan"}}, "two words": {Address: []string{"the office"}}} {
		if got, err := at.over(here); exit.Code(err) != exit.Usage {
			t.Errorf("%s: %v, %+v", name, err, got)
		}
	}
	if got := brokersOf(folder.Identity{Host: "127.0.0.1", BrokerPort: 7461, Named: []string{"office.lan", "fd00::7"}}); !cmp.Equal(got, []string{"office.lan:7461", "[fd00::7]:7461", "127.0.0.1:7461"}) {
		t.Errorf("loopback is not last: %v", got)
	}
}

// A port that is taken is said with who has it, and ends the program with 5; nothing of the
// folder is touched.
func TestTakenPort(t *testing.T) {
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	taken := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	hub := filepath.Join(t.TempDir(), "hub")
	command(t, "", "hub", "init", "--data", hub, "--shop", "Tin Lantern Finishing", "--by", "io", "--host", "127.0.0.1", "--desk-port", freePort(t), "--broker-port", freePort(t))
	for _, args := range [][]string{
		{"--pages", "127.0.0.1:" + taken},
		{"--pages", "off", "--broker-port", taken},
		{"--pages", "off", "--broker-port", freePort(t), "--desk-port", taken},
	} {
		var said strings.Builder
		code := run(t.Context(), append([]string{"hub", "run", "--data", hub}, args...), strings.NewReader(""), &said, &said)
		flag := args[len(args)-2]
		if code != exit.Busy || !strings.Contains(said.String(), "127.0.0.1:"+taken) || !strings.Contains(said.String(), "another place with "+flag) {
			t.Errorf("%v: ends with %d, says %s", args, code, &said)
		}
		if _, err := os.Stat("/proc/net/tcp"); err == nil && !strings.Contains(said.String(), "(process "+strconv.Itoa(os.Getpid())+")") {
			t.Errorf("%v: it does not say who has the port: %s", args, &said)
		}
	}
}

// command runs a command to its end and returns what it prints.
func command(t *testing.T, typed string, args ...string) string {
	t.Helper()
	var out, errs strings.Builder
	if code := run(t.Context(), args, strings.NewReader(typed), &out, &errs); code != exit.OK {
		t.Fatalf("%v ends with %d: %s", args, code, &errs)
	}
	return out.String()
}

// A tablet that heard where its hub will be finds it there, and remembers every place.
func TestTabletFindsItsHub(t *testing.T) {
	dir := t.TempDir()
	hub, tablet := filepath.Join(dir, "hub"), filepath.Join(dir, "tablet")
	before, after := freePort(t), freePort(t)
	command(t, "", "hub", "init", "--data", hub, "--shop", "Tin Lantern Finishing", "--by", "io", "--host", "127.0.0.1", "--desk-port", freePort(t), "--broker-port", before)
	start := func(args ...string) (stop func()) {
		ctx, cancel := context.WithCancel(context.Background())
		var running sync.WaitGroup
		running.Go(func() {
			var said strings.Builder
			if code := run(ctx, args, strings.NewReader(""), &said, &said); code != exit.OK {
				t.Errorf("%v ends with %d: %s", args, code, &said)
			}
		})
		stop = sync.OnceFunc(func() { cancel(); running.Wait() })
		t.Cleanup(stop)
		return stop
	}
	remembers := func() []string {
		id, err := folder.ReadIdentity(tablet)
		if err != nil {
			t.Fatal(err)
		}
		return id.Brokers
	}
	caughtUp := func() bool {
		var s tabletStatus
		at, err := control.Dial(tablet)
		if err != nil {
			return false
		}
		defer at.Close()
		return at.Status(t.Context(), &s) == nil && s.CaughtUp && s.Problem == ""
	}
	stopHub := start("hub", "run", "--data", hub, "--pages", "off")
	shoptest.WaitUntil(t, "the hub takes commands", func() bool { _, err := control.Dial(hub); return err == nil })
	var invited struct{ Invitation string }
	if err := json.Unmarshal([]byte(command(t, "", "hub", "invite", "--data", hub, "--by", "io", "--name", "bench 1", "--json")), &invited, json.MatchCaseInsensitiveNames(true)); err != nil {
		t.Fatal(err)
	}
	command(t, invited.Invitation+"\n", "tablet", "join", "--data", tablet)
	if said := command(t, "", "hub", "address", "--data", hub, "--broker-port", after, "--address", "localhost"); !strings.Contains(said, "from the next start") || !strings.Contains(said, "localhost:"+after) {
		t.Errorf("hub address: %s", said)
	}
	start("tablet", "run", "--data", tablet, "--pages", "off")
	want := []string{"127.0.0.1:" + before, "localhost:" + after, "127.0.0.1:" + after}
	shoptest.WaitUntil(t, "the tablet remembers where the hub will be", func() bool { return caughtUp() && cmp.Equal(remembers(), want) })
	stopHub()
	shoptest.WaitUntil(t, "the tablet has no hub", func() bool { return !caughtUp() })
	start("hub", "run", "--data", hub, "--pages", "off")
	shoptest.WaitUntil(t, "the tablet finds the hub where it is now", caughtUp)
}
