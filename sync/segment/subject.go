package segment

import (
	"strings"

	"fettlebook/journal"
)

// Stream is the name of a shop's stream.
func Stream(shop journal.ShopID) string { return "fettlebook-" + string(shop) }

// LogSubject is where the hub puts a log's segments. No device may publish there: the
// broker would answer wherever the publisher wants it, into another device's subjects too.
func LogSubject(shop journal.ShopID, device journal.DeviceID) string {
	return "fb." + string(shop) + ".log." + string(device)
}

// LogSubjects is what the stream listens on.
func LogSubjects(shop journal.ShopID) string { return "fb." + string(shop) + ".log.*" }

// What is one question of a device to the hub.
type What string

// The questions.
const (
	Greet    What = "greet"    // where do you stand with my log, and with all others?
	Send     What = "send"     // here are the next entries of my own log
	Range    What = "range"    // give me the next entries of that log
	Give     What = "give"     // here are entries that you lost, or never saw
	Compare  What = "compare"  // do we hold the same history of these logs?
	Cards    What = "cards"    // customer cards, both ways
	Offer    What = "offer"    // do you have this original; what of it is missing?
	Chunk    What = "chunk"    // here is a piece of it
	Confirm  What = "confirm"  // put it together, check it, keep it
	Where    What = "where"    // at which addresses are you to be found?
	Wanted   What = "wanted"   // what else than entries did you lose?
	Receipts What = "receipts" // here are countersignatures that you lost
)

// AskSubject is where a device asks.
func AskSubject(shop journal.ShopID, device journal.DeviceID, what What) string {
	return "fb." + string(shop) + ".ask." + string(device) + "." + string(what)
}

// AskSubjects is what the hub answers on.
func AskSubjects(shop journal.ShopID) string { return "fb." + string(shop) + ".ask.*.*" }

// Asked reads the device and the question from a subject. The broker lets a
// device publish under its own name only, so the device is who it says.
func Asked(subject string) (journal.DeviceID, What) {
	fields := strings.Split(subject, ".")
	if len(fields) != 5 {
		return "", ""
	}
	return journal.DeviceID(fields[3]), What(fields[4])
}

// News is where the hub says that it holds more than before.
func News(shop journal.ShopID) string { return "fb." + string(shop) + ".news" }

// WaitSubject is where the hub tells a device, before it cuts it off for a while, that it
// is asked to wait.
func WaitSubject(device journal.DeviceID) string { return Inbox(device) + ".wait" }

// Inbox is the prefix of the subjects on which a device gets answers.
func Inbox(device journal.DeviceID) string { return "_INBOX_" + string(device) }

// Permissions lists what a device may publish and hear, and nothing else: no
// other device's subjects, no stream, and none of the broker's own interfaces.
func Permissions(shop journal.ShopID, device journal.DeviceID) (publish, subscribe []string) {
	return []string{"fb." + string(shop) + ".ask." + string(device) + ".*"},
		[]string{Inbox(device) + ".>", News(shop)}
}
