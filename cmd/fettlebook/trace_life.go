package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// writeLife tells the life of a casting, job by job and coat by coat.
func writeLife(out io.Writer, l *facts.Life, in words.Writing) {
	line := func(indent int, format string, args ...any) {
		fmt.Fprintf(out, "%s%s\n", strings.Repeat("  ", indent), oneLine(fmt.Sprintf(format, args...)))
	}
	line(0, "LIFE OF THE CASTING: %s", words.Commas(l.Name, words.Fill("pattern %s", l.Pattern), string(l.Metal)))
	for _, s := range l.Stays {
		line(1, "%s, %s, job %s, from %s%s", s.Part.Place(), s.Vehicle, s.Part.Job(), dated(s.Begun, in), words.Fill(", handed back on %s", dated(s.Released, in)))
		if s.InsteadOf != "" {
			line(2, "– went in instead of the %s", s.InsteadOf.Place())
		}
		writeFlaws(line, s.Flaws, "of a coat that is not on record: ")
		for _, w := range s.Works {
			line(2, "%s, %s", words.Choose(w.Coat > 0, fmt.Sprintf("Coat %d of its life", w.Coat), "No powder after this work"), dated(w.Begun, in))
			for _, st := range slices.Concat(w.States, w.Heated) {
				line(3, "– %s", st.Say())
			}
			if w.Heat != nil {
				line(3, "– by then %s", w.Heat.Say())
			}
			writeFlaws(line, w.Flaws, "")
		}
		for _, r := range s.Renewed {
			line(2, "– %s", r.Says)
		}
		if s.Is != "" {
			line(2, "– %s; it does not go back%s", s.Is, words.If(s.Instead != "", ", the "+s.Instead.Place()+" goes in instead"))
		}
		if n := len(s.Pictures); n > 0 {
			line(2, "– %s with photographs", words.Count(n, "entry"))
		}
	}
	for _, st := range l.Open {
		line(1, "not known: %s", st.Say())
	}
	for _, note := range l.Notes {
		line(1, "note: %s", note)
	}
}

func writeFlaws(line func(int, string, ...any), list []facts.Flaw, of string) {
	for _, f := range list {
		line(3, "– %s%s; %s", of, f.Defect.Say(), words.Choose(f.Decision == "", "nobody has decided about it", "decided: "+string(f.Decision)))
	}
}

func dated(s journal.Stamp, w words.Writing) string {
	if time.Time(s).IsZero() {
		return ""
	}
	return w.Day(time.Time(s))
}
