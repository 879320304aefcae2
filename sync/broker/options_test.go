package broker_test

import (
	"crypto/tls"
	"errors"
	"reflect"
	"slices"
	"testing"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
	"pgregory.net/rapid"

	"fettlebook/sync/broker"
)

func TestOptions(t *testing.T) {
	s := newShop(t)
	t1 := newTablet(t, "t1")
	s.devices = []broker.Device{t1.device(t)}
	users := mustUsers(t, s.register(t))
	opts, err := broker.Options(s.cfg, broker.NewGuests(users))
	if err != nil {
		t.Fatal(err)
	}
	for what, ok := range map[string]bool{
		"signals are off":                  opts.NoSigs,
		"every write is synced":            opts.SyncAlways && opts.SyncInterval == 0,
		"streams are on":                   opts.JetStream,
		"the store folder is ours":         opts.StoreDir == s.cfg.StoreDir,
		"the store limit has a default":    opts.JetStreamMaxStore == broker.DefaultMaxStore,
		"memory for streams is bounded":    opts.JetStreamMaxMemory > 0,
		"no encryption at rest":            opts.JetStreamKey == "",
		"TLS 1.3 only":                     opts.TLSConfig.MinVersion == tls.VersionTLS13 && !opts.AllowNonTLS,
		"no anonymous user":                opts.NoAuthUser == "" && !opts.NoSystemAccount,
		"no passwords":                     len(opts.Users) == 0 && opts.Username == "" && opts.Authorization == "",
		"no websocket":                     opts.Websocket.Port == 0,
		"no MQTT":                          opts.MQTT.Port == 0,
		"no cluster, leaf or gateway":      opts.Cluster.Port == 0 && opts.LeafNode.Port == 0 && opts.Gateway.Port == 0,
		"no monitoring":                    opts.HTTPPort == 0 && opts.HTTPSPort == 0 && opts.ProfPort == 0,
		"1 MiB messages":                   opts.MaxPayload == 1<<20,
		"connections are bounded":          opts.MaxConn > 0 && opts.MaxConn < server.DEFAULT_MAX_CONNECTIONS,
		"protocol lines are bounded":       opts.MaxControlLine > 0 && opts.MaxControlLine <= server.MAX_CONTROL_LINE_SIZE,
		"a silent device is let go":        opts.PingInterval > 0 && opts.PingInterval < server.DEFAULT_PING_INTERVAL,
		"sign-in outlasts the handshake":   opts.AuthTimeout > opts.TLSTimeout && opts.TLSTimeout > 0,
		"the hub may do all, in-process":   users[0].Nkey == public(t, s.hub) && users[0].Permissions == nil && onlyVia(users[0], "IN_PROCESS"),
		"the device comes by network only": onlyVia(users[1], "STANDARD"),
		"its publish list is the device's": slices.Equal(users[1].Permissions.Publish.Allow, s.devices[0].Publish),
		"so is its subscribe list":         slices.Equal(users[1].Permissions.Subscribe.Allow, s.devices[0].Subscribe),
		"everybody signs":                  opts.AlwaysEnableNonce && opts.CustomClientAuthentication != nil,
		"nobody else is let in":            len(users) == 2 && len(opts.Nkeys) == 0,
	} {
		if !ok {
			t.Errorf("not so: %s", what)
		}
	}
}

func onlyVia(u *server.NkeyUser, kind string) bool {
	_, ok := u.AllowedConnectionTypes[kind]
	return ok && len(u.AllowedConnectionTypes) == 1
}

func mustUsers(t *testing.T, r broker.Register) []*server.NkeyUser {
	t.Helper()
	users, err := broker.Users(r)
	if err != nil {
		t.Fatal(err)
	}
	return users
}

// The same input gives the same lists, and the server may scribble on one
// value without touching the next.
func TestUsersArePure(t *testing.T) {
	s := newShop(t)
	s.devices = []broker.Device{newTablet(t, "t1").device(t)}
	first, again := mustUsers(t, s.register(t)), mustUsers(t, s.register(t))
	if !reflect.DeepEqual(first, again) {
		t.Error("two calls with the same input differ")
	}
	again[1].Permissions.Publish.Allow[0] = "fb.>"
	again[0].Permissions = &server.Permissions{}
	if third := mustUsers(t, s.register(t)); !reflect.DeepEqual(first, third) {
		t.Error("what was done to one value shows in another")
	}
}

func TestOptionsRefuseConfig(t *testing.T) {
	for name, spoil := range map[string]func(*broker.Config){
		"no name":             func(c *broker.Config) { c.ServerName = "" },
		"name of two words":   func(c *broker.Config) { c.ServerName = "the hub" },
		"no store folder":     func(c *broker.Config) { c.StoreDir = "" },
		"no host":             func(c *broker.Config) { c.Host = "" },
		"no port":             func(c *broker.Config) { c.Port = 0 },
		"port below":          func(c *broker.Config) { c.Port = -2 },
		"port above":          func(c *broker.Config) { c.Port = 65536 },
		"no certificate":      func(c *broker.Config) { c.Cert = tls.Certificate{} },
		"certificate, no key": func(c *broker.Config) { c.Cert.PrivateKey = nil },
		"negative store":      func(c *broker.Config) { c.MaxStore = -1 },
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			spoil(&s.cfg)
			if _, err := broker.Options(s.cfg, broker.NewGuests(nil)); !errors.Is(err, broker.ErrConfig) {
				t.Errorf("%v, want ErrConfig", err)
			}
			if _, err := broker.Start(t.Context(), s.cfg, s.register(t)); !errors.Is(err, broker.ErrConfig) {
				t.Errorf("Start: %v, want ErrConfig", err)
			}
		})
	}
}

func TestOptionsRefuseRegister(t *testing.T) {
	account, err := nkeys.CreateAccount()
	if err != nil {
		t.Fatal(err)
	}
	publish := func(subjects ...string) func(*broker.Register) {
		return func(r *broker.Register) { r.Devices[0].Publish = subjects }
	}
	subscribe := func(subjects ...string) func(*broker.Register) {
		return func(r *broker.Register) { r.Devices[0].Subscribe = subjects }
	}
	for name, spoil := range map[string]func(*broker.Register){
		"no hub":                    func(r *broker.Register) { r.Hub = "" },
		"hub is an account key":     func(r *broker.Register) { r.Hub = public(t, account) },
		"device without a key":      func(r *broker.Register) { r.Devices[0].NKey = "" },
		"device key with a typo":    func(r *broker.Register) { r.Devices[0].NKey = mistyped(r.Devices[0].NKey) },
		"device is an account key":  func(r *broker.Register) { r.Devices[0].NKey = public(t, account) },
		"same device twice":         func(r *broker.Register) { r.Devices = append(r.Devices, r.Devices[0]) },
		"device with the hub’s key": func(r *broker.Register) { r.Devices[0].NKey = r.Hub },
		"no subjects at all":        func(r *broker.Register) { r.Devices[0].Publish, r.Devices[0].Subscribe = nil, nil },
		"nothing to publish":        publish(),
		"nothing to listen on":      subscribe(),
		"publish everything":        publish(">"),
		"publish open at the front": publish("*.shop.log.t1"),
		"publish stream requests":   publish("fb.shop.log.t1", "$JS.API.>"),
		"publish to every inbox":    publish("_INBOX.>"),
		"publish empty word":        publish("fb..t1"),
		"publish empty subject":     publish(""),
		"publish with a space":      publish("fb.shop log"),
		"listen to everything":      subscribe(">"),
		"listen to the system":      subscribe("$SYS.>"),
		"listen to every inbox":     subscribe("_INBOX.>"),
		"wildcard not at the end":   subscribe("fb.>.t1"),
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			s.devices = []broker.Device{newTablet(t, "t1").device(t)}
			reg := s.register(t)
			spoil(&reg)
			if _, err := broker.Users(reg); !errors.Is(err, broker.ErrRegister) {
				t.Errorf("%v, want ErrRegister", err)
			}
			if _, err := broker.Start(t.Context(), s.cfg, reg); !errors.Is(err, broker.ErrRegister) {
				t.Errorf("Start: %v, want ErrRegister", err)
			}
		})
	}
}

// Whatever the register holds, either it is refused or everybody but the hub is
// fenced in: the server takes missing permissions as a right to everything.
func TestNobodyButTheHubHasAllRights(t *testing.T) {
	s := newShop(t)
	hub := public(t, s.hub)
	keys := []string{hub, ""}
	for range 8 {
		keys = append(keys, public(t, newKey(t)))
	}
	fence := []string{"fb.shop.log.t1", "_INBOX_t1.>", "fb.shop.news", "fb.shop.ask.t1"}
	subjects := rapid.OneOf(
		rapid.SliceOfN(rapid.SampledFrom(fence), 1, 3),
		rapid.SliceOfN(rapid.SampledFrom(append(fence[:4:4], ">", "$JS.API.>", "_INBOX.*")), 0, 3),
	)
	fenced := func(p *server.SubjectPermission) bool {
		return p != nil && len(p.Allow) > 0 && !slices.ContainsFunc(p.Allow, func(s string) bool { return !slices.Contains(fence, s) })
	}
	let := 0
	device := rapid.Custom(func(t *rapid.T) broker.Device {
		return broker.Device{
			NKey:      rapid.SampledFrom(keys).Draw(t, "key"),
			Publish:   subjects.Draw(t, "publish"),
			Subscribe: subjects.Draw(t, "subscribe"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		reg := broker.Register{Hub: hub, Devices: rapid.SliceOfN(device, 0, 3).Draw(t, "devices")}
		users, err := broker.Users(reg)
		if err != nil {
			if !errors.Is(err, broker.ErrRegister) {
				t.Fatalf("refused with %v, want ErrRegister", err)
			}
			return
		}
		if len(users) != 1+len(reg.Devices) {
			t.Fatalf("%d users for %d devices and a hub", len(users), len(reg.Devices))
		}
		for _, u := range users[1:] {
			let++
			if u.Nkey == hub || u.Permissions == nil || !fenced(u.Permissions.Publish) || !fenced(u.Permissions.Subscribe) {
				t.Fatalf("user %+v is not fenced in", u)
			}
		}
	})
	if let == 0 {
		t.Error("no device was ever let in, so nothing was checked")
	}
}

// mistyped changes one letter in the middle of a key.
func mistyped(key string) string {
	other := "A"
	if key[20] == 'A' {
		other = "B"
	}
	return key[:20] + other + key[21:]
}
