package paper_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/paper"
	"fettlebook/journal/journaltest"
)

// Labels are read by another program: ZBar's zbarimg, of the pages as poppler's
// pdftoppm draws them at the 300 dots an inch of a label printer. The words are read
// by poppler's pdftotext.
func TestLabelsAreRead(t *testing.T) {
	for _, tool := range []string{"pdftoppm", "zbarimg", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") == "1" {
				t.Fatalf("%s is not here", tool)
			}
			t.Skipf("%s is not here", tool)
		}
	}
	var labels []paper.Label
	for i := range 30 {
		labels = append(labels, paper.Label{Holds: fmt.Sprintf("FETTLETAG1.k7m2q4xw.job/4f7kk2m9/corner/LF/part/caliper.%d", i), Head: "TRL 4471", Lines: []string{"LF caliper", fmt.Sprintf("tag %d", i), "job 4f7kk2m9"}})
	}
	labels[29] = paper.Label{Holds: "FETTLETAG1.k7m2q4xw.tool/tw-2", Head: "tw-2", Lines: []string{"torque wrench for the long joints behind the knuckle, which has a very long name", "serial 0562"}}
	type printed struct {
		on          paper.Stock
		skip, pages int
	}
	for _, c := range journaltest.Rows(t, 3, []printed{{paper.Sheet(), 0, 2}, {paper.Sheet(), 23, 3}, {paper.Roll(), 0, 30}}) {
		var file, again bytes.Buffer
		if err := paper.Labels(&file, labels, c.on, c.skip); err != nil {
			t.Fatal(err)
		}
		if err := paper.Labels(&again, labels, c.on, c.skip); err != nil || !bytes.Equal(file.Bytes(), again.Bytes()) {
			t.Errorf("%s: twice is not the same (%v)", c.on.Name, err)
		}
		dir := t.TempDir()
		pdf := filepath.Join(dir, "labels.pdf")
		if err := os.WriteFile(pdf, file.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.CommandContext(t.Context(), "pdftoppm", "-r", "300", "-gray", pdf, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
			t.Fatalf("pdftoppm: %v %s", err, out)
		}
		pictures, err := filepath.Glob(filepath.Join(dir, "page*.pgm"))
		if err != nil || len(pictures) != c.pages {
			t.Errorf("%s: %d pages, want %d (%v)", c.on.Name, len(pictures), c.pages, err)
		}
		read, err := exec.CommandContext(t.Context(), "zbarimg", append([]string{"--quiet", "--raw"}, pictures...)...).Output()
		if err != nil {
			t.Fatalf("zbarimg: %v", err)
		}
		got := strings.Fields(string(read))
		var want []string
		for _, l := range labels {
			want = append(want, l.Holds)
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s, %d places used before: read %d of %d:\n%q", c.on.Name, c.skip, len(got), len(want), got)
		}
		text, err := exec.CommandContext(t.Context(), "pdftotext", "-layout", pdf, "-").Output()
		for _, say := range []string{"TRL 4471", "LF caliper", "tag 17", "tw-2", "serial 0562"} {
			if err != nil || !strings.Contains(string(text), say) {
				t.Errorf("%s: no person reads %q (%v)", c.on.Name, say, err)
			}
		}
		if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" && c.skip == 0 {
			if err := exec.CommandContext(t.Context(), "pdftoppm", "-r", "110", "-png", "-singlefile", pdf, filepath.Join(dir, "labels-"+fmt.Sprint(c.pages))).Run(); err != nil {
				t.Error(err)
			}
		}
	}
}
