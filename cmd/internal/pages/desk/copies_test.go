package desk_test

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/desk"
)

// How the backups stand is said beside the tablets, and on the board where
// somebody has to look after them.
func TestBackups(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/people").well(http.StatusOK).hides("ackup")
	now := o.desk.Now()
	day := desk.Copies{To: "/media/disk", Every: 24 * time.Hour, Made: now.Add(-3 * time.Hour)}
	with := func(change func(*desk.Copies)) desk.Copies { c := day; change(&c); return c }
	for name, trial := range map[string]struct {
		is    desk.Copies
		err   error
		says  string
		wrong bool
	}{
		"none by itself": {desk.Copies{}, nil, "No regular backups are made", false},
		"made in time":   {day, nil, "The last backup was made 3 hours ago, in /media/disk.", false},
		"none yet":       {with(func(c *desk.Copies) { c.Made, c.Late = time.Time{}, true }), nil, "No backup is in /media/disk. One is to be made every 24 hours.", true},
		"late":           {with(func(c *desk.Copies) { c.Made, c.Late = now.Add(-60*time.Hour), true }), nil, "made 2 days ago, in /media/disk. One is to be made every 24 hours.", true},
		"the disk is out": {with(func(c *desk.Copies) { c.Late, c.Trouble = true, "/media/disk is not there; is the disk connected?" }), nil,
			"/media/disk is not there; is the disk connected?", true},
		"damaged":      {with(func(c *desk.Copies) { c.Damaged = true }), nil, "it is damaged", true},
		"nobody tells": {desk.Copies{}, errors.New("no"), "cannot be said now", true},
	} {
		t.Run(name, func(t *testing.T) {
			o.desk.Copies = func() (desk.Copies, error) { return trial.is, trial.err }
			o.get("/people").well(http.StatusOK).says(trial.says)
			if board := o.get("/").well(http.StatusOK); trial.wrong {
				board.says(trial.says)
			} else {
				board.hides("ackup")
			}
		})
	}
}
