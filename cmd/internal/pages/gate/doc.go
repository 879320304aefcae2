// Package gate decides who may come in to a set of pages. It hands out
// decisions, cookies and errors that read as one sentence; it writes no HTML.
//
//	               at the machine itself   from the network
//	bench pages    anybody                 a paired phone
//	desk pages     a passphrase            a passphrase
//
// Where a request comes from is told by the listener that took it: [Gate.Bench]
// and [Gate.Desk] return one handler for each. No header and no sender's address
// moves a request from one to the other. So a proxy in front of the loopback
// listener lets the network in; there should be none.
//
//	sessions, err := gate.OpenSessions(gate.Keep{Path: dir + "/sessions.json", Scope: "k7f2m9qa", Now: time.Now, Rand: rand.Reader})
//	ways := gate.Gate{Sessions: sessions, Hosts: []string{"192.168.4.20"}}.Bench(pages, pairing)
//	go http.Serve(loopback, ways.Loopback)
//	go http.ServeTLS(network, ways.Network, cert, key)
//
// Both handlers answer only to this machine's own names (a page elsewhere must
// not reach them by a name that it points here), refuse what another site sends
// (net/http.CrossOriginProtection), and cap what a request may carry.
//
// The passphrase is the desk's, or once people have one of their own each person's, see
// [People].
//
// Files are kept, each 0600 and durable before a function returns. The
// passphrases are a line each in the PHC string format, the sessions are JSON with the
// SHA-256 of each token; neither lets its reader sign in:
//
//	$argon2id$v=19$m=19456,t=2,p=1$c2FsdCBvZiAxNiBieXRl$aGFzaCBvZiAzMiBieXRlcywgaGVyZSBzaG9ydGVuZWQ
//	{"version":1,"sessions":[{"id":"9f86d0…","role":"phone","name":"Blue phone","made":"2026-03-02T08:00:00Z","used":"2026-03-02T08:00:00Z"}]}
package gate
