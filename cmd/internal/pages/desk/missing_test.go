package desk_test

import (
	"context"
	"errors"
	"net/http"
	"testing"

	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/media"
)

// What no machine brought is said beside the tablets, and the board leads there.
func TestMissing(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	lost := desk.MissingOriginal{Ref: media.RefOf([]byte("an original")), Device: "nobody1"}
	many := desk.Missing{}
	for range 14 {
		many.Originals = append(many.Originals, lost)
	}
	for name, trial := range map[string]struct {
		is   desk.Missing
		err  error
		says []string
	}{
		"nothing":        {},
		"one entry":      {is: desk.Missing{Logs: []desk.MissingEntries{{Device: "nobody1", Here: 4, Named: 5}}}, says: []string{"Of the log of tablet nobody1 entry 5 is not here", "names it", "It comes back"}},
		"entries":        {is: desk.Missing{Logs: []desk.MissingEntries{{Device: "nobody1", Here: 4, Named: 9}}}, says: []string{"entries 5 to 9 are not here", "They come back"}},
		"an original":    {is: desk.Missing{Originals: []desk.MissingOriginal{lost}}, says: []string{"The original of photograph ", "tablet nobody1, which took it"}},
		"originals":      {is: many, says: []string{"The same is so of 2 more originals."}},
		"nobody can say": {err: errors.New("no"), says: []string{"cannot be told now"}},
	} {
		t.Run(name, func(t *testing.T) {
			o.desk.Missing = func(context.Context) (desk.Missing, error) { return trial.is, trial.err }
			people, board := o.get("/people").well(http.StatusOK), o.get("/").well(http.StatusOK)
			people.says(trial.says...)
			if len(trial.says) == 0 {
				people.hides("Missing")
				board.hides("something is missing")
			} else {
				board.says("something is missing")
			}
		})
	}
}
