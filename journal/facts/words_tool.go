package facts

import "fmt"

// Say says why the tool proves nothing, as a clause; "" if it does.
func (t ToolState) Say() string { return t.because(t.Validity.Told) }

// because says why, with the reason for which its calibration does not hold.
func (t ToolState) because(ranOut string) string {
	switch t.Doubt {
	case NotRegistered:
		return fmt.Sprintf("the tool %s is not registered", t.ID)
	case NeverChecked:
		return fmt.Sprintf("no check of the tool %s is on record before its use", t.ID)
	case FoundBad:
		return fmt.Sprintf("the last check before the use found the tool %s %s", t.ID, t.Result)
	case FoundBadLater:
		return fmt.Sprintf("a later check found the tool %s %s", t.ID, t.Result)
	case RanOut:
		return ranOut
	}
	return ""
}
