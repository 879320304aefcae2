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
	OfAnother   Void = "of another device"

	// Of an entry that quotes another one.
	NotQuotable   Void = "not quotable"
	NotProven     Void = "not proven"
	CountsAlready Void = "counts already"
)

// Sentence says in plain words what the reason means.
func (v Void) Sentence() string {
	switch v {
	case WrongLog:
		return "this names another device or shop than the one in whose log it lies, so it does not count"
	case IDFalls:
		return "the id of this is not greater than all ids before it in its log, so it does not count"
	case NoAuthority:
		return "only the hub may write this, and it lies in the log of another device, so it does not count"
	case OfAnother:
		return "only the device that this is about may write it, and it lies in the log of another one, so it does not count"
	case NotQuotable:
		return "this quotes another shop’s entry, another quote, what only the hub may write, or something else than it says, so it does not count"
	case NotProven:
		return "the register knows no key that proves what this quotes, so it does not count"
	case CountsAlready:
		return "what this quotes counts already, from its own log or from another quote, so it does not count again"
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
	case e.Type.Kind.Writer() == AboutItself && e.Subject != Of("device", string(in)):
		return OfAnother
	default:
		return ""
	}
}

// VoidsQuote says whether an entry quotes something that may count: e quotes,
// q is what it quotes. Nobody gains by a quote what could not be written into
// the quoted log: what only the hub may write is not quotable, not even from
// the hub's log, and neither is another quote.
//
// That the quoted log's device signed q is for whoever has the register's keys
// to find out ([NotProven]), and that it counts once for whoever has all
// entries ([CountsAlready]).
func (a Authority) VoidsQuote(e, q *Entry) Void {
	same := q.Source.Shop == e.Source.Shop && q.Subject == e.Subject && q.By == e.By
	if !same || a.Shop != "" && q.Source.Shop != a.Shop || q.Type.Kind.Writer() == HubOnly || q.Type.Kind == EntryTakenOver {
		return NotQuotable
	}
	return ""
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
