// Package witnessed is about what others than the shop say of a state of the
// hub's log: that it existed by a certain time. With it not even the shop and
// its hub together can write the past anew before that moment.
//
// Two kinds of others say it, both in open forms. A timestamp authority
// answers with a token (RFC 3161), which [CheckStamp] holds against the state;
// `openssl ts -verify -in 412.tsr -data 412.checkpoint` does the same. A
// witness, such as another shop's hub, adds a line to the state's signed note
// (C2SP tlog-cosignature), which [Cosigned] reads.
//
// What tablets wrote is witnessed too, since the hub's entries say how much of
// every other log it held, with the logs' roots.
//
// What was said is kept beside the log, never in it: a log proves itself, and
// what others say of it can come at any time, or not.
package witnessed
