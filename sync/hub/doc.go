// Package hub is the hub's side of the sync. It takes in the segments that
// devices publish, verifies, commits and countersigns them; it answers the
// questions of devices; it lets new devices in.
//
// # The order of things
//
// For every segment: verify, commit to the log (fsynced); then, as soon as no
// more segments are waiting, countersign the device's checkpoint with the
// hub's time and tell the news. A crash between any two only repeats work,
// since a segment that is already here changes nothing. How far the stream was
// read is a mark in the same database; the stream keeps everything, so a lost
// mark or a lost database is read again from the start, and what the stream
// lost comes back from the devices and goes into the stream too.
//
// The hub's own log is the shop's register. Every entry of it is in the
// stream before the hub acts on it, so that a hub whose disk died finds its
// own word again and never tells two histories. Where stream and database were
// both lost, the hub writes nothing until the devices had time to bring its own
// log back, and so long lets in whom it let in before.
package hub
