package broker

import (
	"encoding/base64"
	"reflect"
	"slices"
	"sync"
	"time"

	"github.com/nats-io/jwt/v2"
	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
)

// guests is who may come in and who is in. The server asks it about every
// client that signs in, so the register can change while clients are
// connecting: the server's own reload (nats-server 2.15.2) drops those, and
// reads of them what they are just writing.
type guests struct {
	kick func(id uint64)      // ends a connection
	here func(id uint64) bool // whether a connection still is

	asleep chan struct{} // a place for each who is told no slowly
	ended  chan struct{} // closed when the server goes down

	mu     sync.Mutex
	listed map[string]*server.NkeyUser // by key
	inside map[uint64]string           // the key of each connection that was let in; may name some that ended
}

var _ server.Authentication = (*guests)(nil)

func newGuests(users []*server.NkeyUser) *guests {
	return &guests{listed: byKey(users), inside: map[uint64]string{}, asleep: make(chan struct{}, slowly), ended: make(chan struct{})}
}

func byKey(users []*server.NkeyUser) map[string]*server.NkeyUser {
	m := make(map[string]*server.NkeyUser, len(users))
	for _, u := range users {
		m[u.Nkey] = u
	}
	return m
}

// Check implements [server.Authentication]: the key is on the list, comes by
// the way that the list gives it, and has signed what the server drew.
func (g *guests) Check(c server.ClientAuthentication) bool {
	if g.letsIn(c) {
		return true
	}
	g.dawdle()
	return false
}

// A handshake costs as much as a hundred messages, so who is not let in hears that after
// a while, and tries again so much later. No more than so many wait at once, or they
// would take the places of others.
const (
	refusal = 500 * time.Millisecond // a client gives up after two seconds
	slowly  = 48
)

func (g *guests) dawdle() {
	select {
	case g.asleep <- struct{}{}:
	default:
		return
	}
	defer func() { <-g.asleep }()
	t := time.NewTimer(refusal)
	defer t.Stop()
	select {
	case <-t.C:
	case <-g.ended:
	}
}

func (g *guests) letsIn(c server.ClientAuthentication) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	u := g.listed[c.GetOpts().Nkey]
	if u == nil || !signed(c) {
		return false
	}
	if _, ok := u.AllowedConnectionTypes[way(c)]; !ok {
		return false
	}
	c.RegisterUser(&server.User{Permissions: u.Permissions})
	if len(g.inside) > 2*maxConn {
		g.sweep()
	}
	g.inside[c.GetID()] = u.Nkey
	if way(c) == jwt.ConnectionTypeStandard {
		g.makeRoom(u.Nkey)
	}
	return true
}

// perKey is how many connections a device may have: one, and those before it that nobody
// has noticed yet are gone.
const perKey = 4

// makeRoom ends the oldest connections of a key that has too many. So nobody takes the
// places of others, and a tablet on a bad line always gets in. mu is held.
func (g *guests) makeRoom(key string) {
	var ids []uint64
	for id, k := range g.inside {
		if k == key {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	for ; len(ids) > perKey; ids = ids[1:] {
		delete(g.inside, ids[0])
		go g.kick(ids[0]) // the server holds what that needs while it asks
	}
}

// sweep forgets connections that ended. mu is held.
func (g *guests) sweep() {
	for id := range g.inside {
		if !g.here(id) {
			delete(g.inside, id)
		}
	}
}

// change replaces the list and cuts off whoever is no longer on it or has
// other rights now: a client that asks after the change is judged by the new
// list, and one that asked before is in inside.
func (g *guests) change(users []*server.NkeyUser) {
	g.mu.Lock()
	old := g.listed
	g.listed = byKey(users)
	var out []uint64
	for id, key := range g.inside {
		if !reflect.DeepEqual(old[key], g.listed[key]) {
			out = append(out, id)
			delete(g.inside, id)
		}
	}
	g.mu.Unlock()
	for _, id := range out {
		g.kick(id)
	}
}

// signed reports whether the client holds the secret of its key.
func signed(c server.ClientAuthentication) bool {
	sig, err := base64.RawURLEncoding.DecodeString(c.GetOpts().Sig)
	if err != nil || len(sig) == 0 {
		return false
	}
	key, err := nkeys.FromPublicKey(c.GetOpts().Nkey)
	return err == nil && len(c.GetNonce()) > 0 && key.Verify(c.GetNonce(), sig) == nil
}

// way tells how a client came: over TLS, or from within this process, where
// connections are pipes. The listener takes nobody without TLS.
func way(c server.ClientAuthentication) string {
	if c.Kind() != server.CLIENT {
		return ""
	}
	if c.GetTLSConnectionState() != nil {
		return jwt.ConnectionTypeStandard
	}
	if at := c.RemoteAddress(); at != nil && at.Network() == "pipe" {
		return jwt.ConnectionTypeInProcess
	}
	return ""
}
