package desk_test

import (
	"context"
	"net/http"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/desk"
)

// Who has the log witnessed sees when it was last, and who does not answer; who
// has not asked for it sees nothing of it.
func TestWitnessedFromOutside(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/people").well(http.StatusOK).hides("itnessed")
	var w desk.Witnessed
	o.desk.Witnessed = func(context.Context) (desk.Witnessed, error) { return w, nil }
	o.get("/people").well(http.StatusOK).says("The log has not been witnessed yet.")
	w = desk.Witnessed{Last: time.Date(2026, 5, 12, 9, 30, 0, 0, time.Local), By: []string{"Clock House Time", "fettlebook/b3tterq2/hub"},
		Troubles: []desk.Trouble{{Who: "https://time.example/tsa", Since: time.Date(2026, 5, 13, 9, 30, 0, 0, time.Local), Says: "It cannot be reached."}}}
	o.get("/people").well(http.StatusOK).says("Last witnessed on 12 May 2026 09:30 UTC", "by Clock House Time and fettlebook/b3tterq2/hub.",
		"https://time.example/tsa has not witnessed it when asked since 13 May 2026 09:30 UTC", "It cannot be reached. It is asked again; the work goes on.")
}
