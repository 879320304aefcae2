// Package meter tells programs that watch over a shop's machines how one of them
// stands: at /healthz whether it is well, at /metrics its figures, in the text form
// that Prometheus reads. What is told names devices and no person, customer or vehicle.
//
// Who may read is for whoever serves it to say: a program on the same machine, or one
// that has the token ([Token]).
package meter
