package pages

import (
	"net/url"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// The names by which addresses tell of an order that is in doubt.
const (
	PairName    = "of"      // each of the two entries
	SettledName = "settled" // each hold point that hung on them, by its anchor
)

// Order leads to where an order that is in doubt is settled.
type Order struct{ Say, Path string }

// OrderOf is where the order is settled that a hold point hangs on: somebody
// who did one of the two says which was first, or a check is done again. It is
// nil for a hold point that is not in doubt, or of which the two are not known.
func OrderOf(v route.Verdict) *Order {
	if v.State != route.InDoubt || len(v.Doubtful) != 2 {
		return nil
	}
	q := url.Values{}
	for _, id := range v.Doubtful {
		q.Add(PairName, id.String())
	}
	o := &Order{Say: "Say which was first", Path: "/write/" + string(journal.OrderStated) + "/" + string(journal.About(v.Subject.Job(), "", "")) + "?" + q.Encode()}
	if !v.Again.IsZero() {
		o.Say = "Do the check again"
	}
	return o
}

// SettledPath is the page of a job's hold points, which says first how some of
// them stand now that their order was stated.
func SettledPath(job journal.JobID, holds []route.Verdict) string {
	q := url.Values{}
	for _, v := range holds {
		q.Add(SettledName, HoldAnchor(v))
	}
	path := "/holds/" + url.PathEscape(string(job))
	if len(q) == 0 {
		return path
	}
	return path + "?" + q.Encode() + "#" + SettledName
}

// HoldAnchor is the name of a hold point on the page of all of a job.
func HoldAnchor(v route.Verdict) string { return anchor("hold", string(v.Hold), v.Subject) }

// StagePath is the page of a stage at a place.
func StagePath(stage string, about journal.Subject) string {
	return "/stage/" + stage + "/" + string(about)
}

// NowPath is the page of what is done now at a job or at one of its corners.
func NowPath(about journal.Subject) string { return "/now/" + string(about) }

// Hung is the field in which the page of a run names its parts.
const Hung = "part"

// RunPath is the page of a new run with parts that are ticked already.
func RunPath(kind journal.Kind, parts []journal.Subject) string {
	query := url.Values{}
	for _, p := range parts {
		query.Add(Hung, string(p))
	}
	return "/run/new/" + string(kind) + "?" + query.Encode()
}

// StageAnchor is the name of a stage's square on the page of the job.
func StageAnchor(stage string, about journal.Subject) string { return anchor("at", stage, about) }

func anchor(of, name string, about journal.Subject) string {
	return strings.Trim(strings.Join([]string{of, name, string(about.Corner()), string(about.Part())}, "-"), "-")
}
