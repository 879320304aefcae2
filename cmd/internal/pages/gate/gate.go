package gate

import (
	"context"
	"net/http"
)

// A Gate stands before a set of pages.
type Gate struct {
	Sessions *Sessions
	Hosts    []string                  // see [Network]
	Body     func(*http.Request) int64 // see [Body]
	Refuse   Refuse                    // says what is refused; nil says it in plain text
	// Holds reports whether a session at the desk still lets its holder in; nil for
	// until it ends.
	Holds func(Holder) bool
}

// Refuse answers a request that is not let in: with a title and a sentence that says
// what to do.
type Refuse func(w http.ResponseWriter, r *http.Request, status int, title, sentence string)

func (say Refuse) answer(w http.ResponseWriter, r *http.Request, status int, title, sentence string) {
	if say == nil {
		http.Error(w, sentence, status)
		return
	}
	say(w, r, status, title, sentence)
}

// Ways are the ways in to a set of pages, one for each listener.
type Ways struct {
	Loopback http.Handler // for a listener on a loopback address, and only there
	Network  http.Handler // for a listener on the network, over TLS
}

// Bench returns the ways in to a tablet's pages: open to who stands at the
// tablet, and from the network to paired phones. All others get outside, which
// pairs a phone; outside is served the same paths and must show nothing else.
func (g Gate) Bench(inside, outside http.Handler) Ways {
	return Ways{
		Loopback: g.guard(Loopback(), inside),
		Network:  g.guard(Network(g.Hosts...), g.Sessions.Require(Phone, inside, outside)),
	}
}

// Desk returns the ways in to the hub's pages, both for who is signed in at the
// desk. All others get outside, which signs in.
func (g Gate) Desk(inside, outside http.Handler) Ways {
	signedIn := g.Sessions.Require(Desk, g.holding(inside, outside), outside)
	return Ways{
		Loopback: g.guard(Loopback(), signedIn),
		Network:  g.guard(Network(g.Hosts...), signedIn),
	}
}

// holding sends out again who is signed in and may not be any more.
func (g Gate) holding(inside, outside http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if one, ok := Of(r.Context()); ok && g.Holds != nil && !g.Holds(one.Holder) {
			outside.ServeHTTP(w, r)
			return
		}
		inside.ServeHTTP(w, r)
	})
}

func (g Gate) guard(h Hosts, next http.Handler) http.Handler {
	return h.Only(SameOrigin(Body(g.Body, next, g.Refuse), g.Refuse), g.Refuse)
}

// Require passes on the requests of a browser that holds a session in the role,
// and gives all others to refused. Inside, [Of] tells whose request it is, and
// the request's context ends with the session: who is signed out sees no more
// live changes either.
func (s *Sessions) Require(role Role, next, refused http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, token := range s.scope.tokens(r, role) {
			one, renewed, ok := s.use(token, role)
			if !ok {
				continue
			}
			left := one.Ends().Sub(s.now())
			if renewed {
				s.scope.giveToken(w, r, one.Session, token, left)
			}
			ctx, cancel := context.WithTimeout(context.WithValue(r.Context(), sessionKey{}, one.Session), left)
			defer cancel()
			defer context.AfterFunc(one.ctx, cancel)()
			next.ServeHTTP(w, r.WithContext(ctx))
			return
		}
		refused.ServeHTTP(w, r)
	})
}

type sessionKey struct{}

// Of returns the session in which a request was let in. A tablet's own screen
// has none.
func Of(ctx context.Context) (Session, bool) {
	s, ok := ctx.Value(sessionKey{}).(Session)
	return s, ok
}
