package audit

import (
	"bufio"
	"fmt"
	"io"

	"fettlebook/journal/words"
)

// WriteText writes the report for a person to read: what was checked, each
// finding with its place and what to do, and the outcome in one line.
func (r *Report) WriteText(w io.Writer) error {
	b := bufio.NewWriter(w)
	c := r.Checked
	fmt.Fprintf(b, "Checked %s with %s, %s, %s, %s, %s (%.1f MiB), %s and %s.\n",
		words.Count(c.Logs, "log"), words.Count(c.Entries, "entry"),
		words.Count(c.Checkpoints, "checkpoint"),
		words.Count(c.Countersignatures, "countersignature"),
		words.Count(c.Thumbnails, "thumbnail"), words.Count(c.Originals, "original"),
		float64(c.OriginalBytes)/(1<<20), words.Count(c.Cards, "customer card"), words.Count(c.Seals, "seal"))
	for _, f := range r.Findings {
		label := "Remark"
		if f.Severity == Damage {
			label = "DAMAGE"
		}
		fmt.Fprintf(b, "\n%s  %s\n        %s\n        %s\n", label, f.Where, f.What, f.Do)
	}
	damages, remarks := r.count(Damage), words.Count(r.count(Remark), "remark")
	if damages == 0 {
		fmt.Fprintf(b, "\nNothing is damaged; %s.\n", remarks)
	} else {
		fmt.Fprintf(b, "\nDAMAGED: %s, %s.\n", words.Count(damages, "damage"), remarks)
	}
	return b.Flush()
}
