package record

import "fettlebook/journal"

// Flag is something odd about a line, as a stable written word. Nothing is
// refused or put right for it.
type Flag string

// The flags.
const (
	NewerKind      Flag = "newer kind"
	Unreadable     Flag = "unreadable"
	WrongLog       Flag = Flag(journal.WrongLog)
	IDFalls        Flag = Flag(journal.IDFalls)
	NoAuthority    Flag = Flag(journal.NoAuthority)
	OfAnother      Flag = Flag(journal.OfAnother)
	NotQuotable    Flag = Flag(journal.NotQuotable)
	NotProven      Flag = Flag(journal.NotProven)
	CountsAlready  Flag = Flag(journal.CountsAlready)
	DoubleID       Flag = "double id"
	ForkedDevice   Flag = "forked device"
	RevokedDevice  Flag = "revoked device"
	ClockAhead     Flag = "clock ahead" // follows from the time of receipt
	JobTwice       Flag = "job id twice"
	CustomerErased Flag = "customer erased"
	PhotoWithdrawn Flag = "photo withdrawn"
	BadReplacement Flag = "replacement does not count"
	Circular       Flag = "circular correction"
	AfterHandover  Flag = "after handover"
	Waiting        Flag = "waiting"    // Line.Waits says for what
	TakenOver      Flag = "taken over" // Line.Taken says how
)

// Sentence says in plain words what the flag means.
func (f Flag) Sentence() string {
	switch f {
	case NewerKind:
		return "written by a newer fettlebook; it is kept as written and counts for nothing here"
	case Unreadable:
		return "this cannot be read as an entry of its kind; it is kept as written and counts for nothing"
	case WrongLog, IDFalls, NoAuthority, OfAnother, NotQuotable, NotProven, CountsAlready:
		return journal.Void(f).Sentence()
	case DoubleID:
		return "two different entries have this id; both are kept"
	case ForkedDevice:
		return "the device that wrote this showed two histories; both are kept"
	case RevokedDevice:
		return "written by a device after it was revoked"
	case ClockAhead:
		return "the device’s clock was more than ten minutes ahead when the hub received this, so its time is doubtful"
	case JobTwice:
		return "this job was opened twice; the first opening counts"
	case CustomerErased:
		return "the customer’s card was erased later"
	case PhotoWithdrawn:
		return "a photograph was withdrawn; its hash stays"
	case BadReplacement:
		return "what should stand instead cannot be read as an entry of that kind, so nothing does"
	case Circular:
		return "these corrections go round in a circle and act on nothing"
	case AfterHandover:
		return "added after handover"
	case Waiting:
		return "whoever wrote this had seen entries that are not here, or another history of a log; it counts for nothing until they are"
	case TakenOver:
		return "taken over from the log of a tablet that was restored or revoked, and proven by that tablet’s signature; whatever had to come before it is in doubt"
	default:
		return string(f)
	}
}

// flags lists all flags in the order in which a record explains them.
func flags() []Flag {
	return []Flag{
		NewerKind, Unreadable, WrongLog, IDFalls, NoAuthority, OfAnother, NotQuotable, NotProven, CountsAlready, DoubleID, ForkedDevice, RevokedDevice, ClockAhead,
		JobTwice, CustomerErased, PhotoWithdrawn, BadReplacement, Circular, AfterHandover, Waiting, TakenOver,
	}
}
