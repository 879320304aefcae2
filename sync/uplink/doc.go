// Package uplink is the tablet's side of the sync: it brings the device's own
// log, its originals and its customer cards to the hub, and fetches what the
// other devices wrote.
//
// The loop is level-triggered. It greets the hub, compares what the two hold,
// sends from the hub's mark on, fetches what is missing, and does so again
// after every write, every piece of news, every timer and every error. It
// keeps no state that only a restart could clear and deletes nothing: a
// message that is lost, doubled, late or out of order only makes the next
// round send again.
//
// Three answers are kept apart: the broker's acknowledgement says that the
// transport has a segment; the hub's head says that it verified and committed
// it; the hub's countersignature is the receipt, with the hub's time.
package uplink
