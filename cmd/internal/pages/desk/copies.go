package desk

import (
	"context"
	"time"

	"fettlebook/journal/words"
)

// Copies is how the hub's backups stand.
type Copies struct {
	To      string        // where they lie; "" if none are made by themselves
	Every   time.Duration // that one is made
	Made    time.Time     // of the newest; zero for none, or none that is in reach
	Damaged bool          // the newest holds damage
	Late    bool          // one is due and was not made
	Trouble string        // why the last trial failed; "" if it did not
}

// copiesRow puts in words how the backups stand.
type copiesRow struct {
	Says    string
	Wrong   bool   // somebody has to look after it
	Trouble string // what the program said
}

func newCopiesRow(c Copies, now time.Time) *copiesRow {
	row := &copiesRow{Trouble: c.Trouble}
	switch {
	case c.To == "":
		row.Says = "No regular backups are made. What is written here lies on this one disk, and on the tablets as far as they still hold it. “fettlebook backup FOLDER --every 24” makes a backup each day on another disk."
		return row
	case c.Made.IsZero():
		row.Says = "No backup is in " + c.To + "."
	case c.Damaged:
		row.Says, row.Wrong = "The last backup was made "+ago(c.Made, now)+", in "+c.To+", and it is damaged. `fettlebook audit` lists the damage.", true
	default:
		row.Says = "The last backup was made " + ago(c.Made, now) + ", in " + c.To + "."
	}
	if c.Late {
		row.Wrong = true
		row.Says += " One is to be made every " + words.Count(int(c.Every.Hours()), "hour") + "."
	}
	return row
}

// copies is how the backups stand, nil if nobody knows.
func (d *Desk) copies(ctx context.Context) *copiesRow {
	if d.Copies == nil {
		return nil
	}
	c, err := d.Copies()
	if err != nil {
		d.Logger.WarnContext(ctx, "look for backups", "error", err)
		return &copiesRow{Says: "How the backups stand cannot be said now; the log on this machine says why.", Wrong: true}
	}
	return newCopiesRow(c, d.Now())
}
