package paper_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	ofJob   = regexp.MustCompile(`job/\$job/corner/(LR|RR)`)
	named   = regexp.MustCompile(`"as": "(\w+)"`)
	ofOther = regexp.MustCompile(`, "stand_ins": \[[^]]*\]|, "job/\$other/[^"]*"|"job/\$other/[^"]*", `)
	run     = regexp.MustCompile(`("subject": "run/[\w-]+)`)
)

// fourCorners writes the story anew, with the same done at the front, each in runs of
// its own and to other figures, so that no table of the receipt can say two of them once.
func fourCorners(t *testing.T) string {
	t.Helper()
	raw, err := os.ReadFile(story)
	if err != nil {
		t.Fatal(err)
	}
	front := strings.NewReplacer("LR", "LF", "RR", "RF", `"base": "8 µm"`, `"base": "9 µm"`, "thick section by", "thick section beside", `"drawn": "150 mL"`, `"drawn": "145 mL"`, `"drawn": "90 mL"`, `"drawn": "85 mL"`, "back, by the upper boss", "front, by the lower boss", "K7-", "K5-", "B2-", "B1-", `"torque": "70 N·m"`, `"torque": "71 N·m"`, `"torque": "30 N·m"`, `"torque": "31 N·m"`,
		`"torque": "8 N·m"`, `"torque": "8.5 N·m"`, `"torque": "22 N·m"`, `"torque": "21 N·m"`, `"torque": "220 N·m"`, `"torque": "210 N·m"`, `"screw": "12 N·m"`, `"screw": "11 N·m"`,
		`"nuts": 5, "pattern": "star", "torque": "120 N·m"`, `"nuts": 5, "pattern": "star", "torque": "122 N·m"`)
	var out bytes.Buffer
	var names []string
	runs, bled, topped := make(map[string]bool), make(map[string]string), make(map[bool]string)
	for line := range strings.Lines(string(raw)) {
		if strings.Contains(line, `"kind": "job.opened", "subject": "job/$job"`) {
			line = strings.Replace(line, `"corners": ["LR", "RR"]`, `"corners": ["LF", "RF", "LR", "RR"]`, 1)
		}
		out.WriteString(line)
		if strings.Contains(line, `"kind": "reservoir.topped", "subject": "job/$job"`) {
			topped[strings.Contains(line, `"added": "150 mL"`)] = line
		}
		if strings.Contains(line, `"at": "2026-05-13 11:32"`) {
			out.WriteString(bled["/corner/RF"] + topped[true] + bled["/corner/LF"] + topped[false])
		}
		of := run.FindString(line)
		runs[of] = runs[of] || of != "" && ofJob.MatchString(line)
		if !strings.Contains(line, `"kind"`) || !ofJob.MatchString(line) && !runs[of] {
			continue
		}
		again := run.ReplaceAllString(ofOther.ReplaceAllString(line, ""), "${1}f")
		for _, m := range named.FindAllStringSubmatch(again, -1) {
			names = append(names, m[1])
		}
		again = front.Replace(again)
		for _, name := range names {
			again = strings.NewReplacer(`"as": "`+name+`"`, `"as": "`+name+`front"`, "$"+name+`"`, "$"+name+`front"`).Replace(again)
		}
		if strings.Contains(line, `"kind": "bleed.done"`) { // in the order of the manual: the front after the rear
			bled[again[strings.Index(again, "/corner/"):][:len("/corner/RF")]] = again
			continue
		}
		out.WriteString(again)
	}
	path := filepath.Join(t.TempDir(), "four.jsonl")
	if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A receipt of four corners, with every table full, is one sheet.
func TestReceiptOfFourCorners(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.Play(fourCorners(t))
	job := o.Job("job")
	o.seal(job)
	w := o.wrote(job)
	w.whole()
	w.says("Left front, before the work", "Right rear, after the work", "5 × 122 N·m", "5 × 120 N·m", o.asked().Seal(job).String())
	if n := w.pages(); n != 2 {
		t.Errorf("%d pages", n)
	}
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		outside(t, "pdftoppm", "poppler-utils", "-r", "80", "-png", w.pdf, filepath.Join(dir, "four"))
	}
}
