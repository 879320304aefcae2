// Package hub is the hub's side of the sync. It answers the questions of devices,
// among them the segments that they bring: it verifies, commits and countersigns
// these; and it lets new devices in.
//
// # The order of things
//
// For every segment: verify, commit to the log (fsynced), put it into the stream
// (fsynced), countersign the device's checkpoint with the hub's time, answer and
// tell the news. A crash between any two only repeats work, since a segment that
// is already here changes nothing, and what the stream lacks is looked for anew at
// every start. The stream is the hub's second copy and its alone: no device
// publishes to it, since a stream answers on whatever subject the publisher names. It
// is read only at the start, from a mark in the database; a lost mark or a lost
// database is read again from the beginning, and what both lost comes back from
// the devices.
//
// The hub's own log is the shop's register. Every entry of it is in the
// stream before the hub acts on it, so that a hub whose disk died finds its
// own word again and never tells two histories. Where stream and database were
// both lost, the hub writes nothing until the devices had time to bring its own
// log back, and so long lets in whom it let in before.
package hub
