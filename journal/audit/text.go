package audit

import (
	"bufio"
	"fmt"
	"io"
)

// WriteText writes the report for a person to read: what was checked, each
// finding with its place and what to do, and the outcome in one line.
func (r *Report) WriteText(w io.Writer) error {
	b := bufio.NewWriter(w)
	c := r.Checked
	fmt.Fprintf(b, "Checked %s with %s, %s, %s, %s, %s (%.1f MiB) and %s.\n",
		count(c.Logs, "log", "logs"), count(c.Entries, "entry", "entries"),
		count(c.Checkpoints, "checkpoint", "checkpoints"),
		count(c.Countersignatures, "countersignature", "countersignatures"),
		count(c.Thumbnails, "thumbnail", "thumbnails"), count(c.Originals, "original", "originals"),
		float64(c.OriginalBytes)/(1<<20), count(c.Cards, "customer card", "customer cards"))
	for _, f := range r.Findings {
		label := "Remark"
		if f.Severity == Damage {
			label = "DAMAGE"
		}
		fmt.Fprintf(b, "\n%s  %s\n        %s\n        %s\n", label, f.Where, f.What, f.Do)
	}
	damages, remarks := r.count(Damage), count(r.count(Remark), "remark", "remarks")
	if damages == 0 {
		fmt.Fprintf(b, "\nNothing is damaged; %s.\n", remarks)
	} else {
		fmt.Fprintf(b, "\nDAMAGED: %s, %s.\n", count(damages, "damage", "damages"), remarks)
	}
	return b.Flush()
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
