package journal

import "bytes"

// Authority says whose word counts in a shop: which shop it is, and which of
// its devices is the hub, whose log is the shop's register. A zero field is
// not known: no source then names a wrong shop, and no device is the hub.
type Authority struct {
	Shop ShopID
	Hub  DeviceID
}

// Void is why an entry counts for nothing where it lies, as a stable written
// word; "" if it counts. Such an entry is kept and proven like any other,
// since a log cannot leave one out.
type Void string

// The reasons. The first that holds is given.
const (
	WrongLog    Void = "wrong log"
	IDFalls     Void = "id does not rise"
	NoAuthority Void = "no authority"
)

// Sentence says in plain words what the reason means.
func (v Void) Sentence() string {
	switch v {
	case WrongLog:
		return "this names another device or shop than the one in whose log it lies, so it counts for nothing"
	case IDFalls:
		return "the id of this is not greater than all ids before it in its log, so it counts for nothing"
	case NoAuthority:
		return "only the hub may write this, and it lies in the log of another device, so it counts for nothing"
	default:
		return string(v)
	}
}

// Voids says whether an entry counts where it lies: in the log of which
// device, and whether its id falls there ([Logged.Falls]).
//
// What an entry corrects is not known here: a correction needs the authority
// for what it is of, which [Authority.MayWrite] tells.
func (a Authority) Voids(e *Entry, in DeviceID, falls bool) Void {
	switch {
	case e.Source.Device != in || a.Shop != "" && e.Source.Shop != a.Shop:
		return WrongLog
	case falls:
		return IDFalls
	case !a.MayWrite(e.Type.Kind, in):
		return NoAuthority
	default:
		return ""
	}
}

// MayWrite reports whether entries of a kind count in the log of a device. Of
// a kind that is not known here nobody can say, and it counts for nothing
// anyway.
func (a Authority) MayWrite(k Kind, in DeviceID) bool {
	return k.Writer() != HubOnly || a.Hub != "" && in == a.Hub
}

// Top is the greatest id of a log so far. Whoever goes through the log from
// its first entry on learns from it which ids fall.
type Top EntryID

// Falls takes the next id of the log and reports whether it is not greater
// than all before it.
func (t *Top) Falls(id EntryID) bool {
	if bytes.Compare(id[:], t[:]) <= 0 {
		return true
	}
	*t = Top(id)
	return false
}
