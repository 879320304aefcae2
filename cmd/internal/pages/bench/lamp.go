package bench

import (
	"fmt"
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/words"
)

// Lamp says whether the hub is there, in a shape and in words.
type Lamp struct {
	On    bool
	Say   string // how the line is
	More  string // what that is for the entries
	Waits string // what waits to be sent; a telephone's page where the entries are has it
	At    string // when it was looked at, for a page that does not look again
}

func lampOf(w Where, st Standing, now time.Time) Lamp {
	l := Lamp{On: !st.Away && !st.Connected.IsZero(), At: words.Clock(now)}
	waits := words.Commas(nonzero(w.Waits(), "entry", w.Writing), nonzero(w.Photos, "photograph", w.Writing))
	switch {
	case !st.Waits.IsZero():
		l.On = false
		l.Say = fmt.Sprintf("The hub asked this tablet to wait until %s.", pages.When(st.Waits.In(now.Location()), now, w.Writing))
	case !st.Refused.IsZero():
		l.On = false
		l.Say = fmt.Sprintf("The hub has not let this tablet in since %s.", pages.When(st.Refused.In(now.Location()), now, w.Writing))
	case !l.On && st.Connected.IsZero():
		l.Say = "No hub since this tablet was started."
	case !l.On:
		l.Say = fmt.Sprintf("No hub since %s.", pages.When(st.Connected.In(now.Location()), now, w.Writing))
	default:
		l.Say = "Hub in reach"
	}
	switch {
	case !st.Waits.IsZero():
		l.More = "This tablet sent more than work ever needs, which the desk shows. Entries are safe here and go out after that."
	case !st.Refused.IsZero():
		l.More = "It was revoked or cut off there, or the hub does not know it: ask at the desk. What is written here stays here until it is let in or joins again."
	case !l.On:
		l.More, l.Waits = "Entries are safe here.", waits
	case st.Of > 0:
		l.More = w.Writing.Sprintf("%d of %s, %.1f of %.1f MB", st.Done, w.Writing.Count(st.Of, "photograph"), megabytes(st.Sent), megabytes(st.Total))
	case waits != "":
		l.More = waits + " on the way"
	default:
		l.More = "nothing waits"
	}
	return l
}

// nonzero counts what there is, and says nothing of what there is not.
func nonzero(n int, of string, in words.Writing) string {
	if n == 0 {
		return ""
	}
	return in.Count(n, of)
}

func megabytes(n int64) float64 { return float64(n) / 1e6 }

// lamp gives the lamp alone, to a page that heard that it has changed.
func (b *Bench) lamp(w http.ResponseWriter, r *http.Request) {
	b.shell.Fragment(w, r, "where", "lamp", b.whereabouts(r))
}
