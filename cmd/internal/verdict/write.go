package verdict

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"fettlebook/journal/evidence"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// WriteJSON writes the findings as one line of JSON.
func WriteJSON(w io.Writer, f evidence.Findings) error {
	raw, err := json.Marshal(f, json.Deterministic(true))
	if err != nil {
		return fmt.Errorf("encode findings: %w", err)
	}
	_, err = fmt.Fprintf(w, "%s\n", raw)
	return err
}

const (
	column = 96 // of text
	most   = 40 // findings of one answer; JSON has all
)

// WriteText writes the findings for people.
func WriteText(w io.Writer, f evidence.Findings) error {
	out := bufio.NewWriter(w)
	paragraph(out, "", "", f.About)
	for _, a := range f.Answers {
		fmt.Fprintln(out)
		paragraph(out, mark(a.Verdict), "    ", a.Asks)
		paragraph(out, "    ", "    ", a.Says)
		for i, x := range a.Findings {
			if i == most {
				paragraph(out, "      ", "      ", fmt.Sprintf("%s more; --json lists all.", words.Count(len(a.Findings)-most, "finding")))
				break
			}
			paragraph(out, "    "+sign(x.Verdict)+" ", "      ", x.Says)
			for _, path := range x.Paths {
				fmt.Fprintf(out, "        %s\n", words.OneLine(path))
			}
		}
	}
	fmt.Fprintln(out)
	paragraph(out, "", "", f.Says)
	return out.Flush()
}

// mark is the state of an answer: a shape and a word.
func mark(v evidence.Verdict) string {
	return map[evidence.Verdict]string{evidence.Yes: "(o) yes: ", evidence.No: "(/) no: ", evidence.Unknown: "( ) not known: "}[v]
}

func sign(v evidence.Verdict) string {
	return map[evidence.Verdict]string{evidence.Yes: "-", evidence.No: "/", evidence.Unknown: "?"}[v]
}

// paragraph writes a text broken into lines: the first begins with first, the
// others with rest. What the file says of itself is in it.
func paragraph(w io.Writer, first, rest, text string) {
	line := first
	empty := true
	for word := range strings.FieldsSeq(words.OneLine(text)) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > column {
			fmt.Fprintln(w, line)
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	fmt.Fprintln(w, line)
}
