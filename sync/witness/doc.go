// Package witness has others than the shop witness the state of the hub's log,
// and witnesses the logs of other shops' hubs. All of it is off until it is
// asked for.
//
// A [Keeper] asks, once a day if anything has grown: first the witnesses, for
// their lines on the state's signed note (C2SP tlog-witness), then an authority
// for a timestamp of the note (RFC 3161). What they say is kept beside the log.
// A wrong, late or absent answer stops nothing; it is asked for again.
//
// A [Witness] answers other hubs. It signs a state of a log only if that has
// grown out of what it signed last, which is on the disk before it answers, so
// that a log of which it signed two states never has two histories. As the
// standard has it, anybody may ask: what counts is the signature on the state.
//
// What leaves the shop is the name of its log, how many entries it has, and a
// hash; of a timestamp a hash alone.
package witness
