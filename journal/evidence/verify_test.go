package evidence_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"testing"

	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/journaltest"

	"github.com/google/go-cmp/cmp"
)

func verify(t testing.TB, raw []byte, receipt *evidence.Receipt) evidence.Findings {
	t.Helper()
	return verifyBy(t, raw, evidence.Trusted{Receipt: receipt})
}

func verifyBy(t testing.TB, raw []byte, by evidence.Trusted) evidence.Findings {
	t.Helper()
	b, err := bag.Open(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	f, err := evidence.Verify(context.Background(), b, by, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Of an honest dossier nothing is said to be wrong, and nothing not known but
// what was left out on purpose.
func TestHonestDossiers(t *testing.T) {
	kinds := []evidencetest.Options{{}, {Stripped: true}, {Photos: evidence.Thumbnails}, {Card: true, Paper: true}}
	for i := range journaltest.Times(24, 100) {
		h := evidencetest.New(t, fmt.Sprintf("honest %d", i), 3+i%9)
		receipt := h.Receipt()
		f := verify(t, h.Dossier(kinds[i%len(kinds)]).Pack(), &receipt)
		if f.Verdict != evidence.Yes {
			t.Errorf("honest dossier %d: %s", i, said(f))
		}
		for _, a := range f.Answers {
			if a.Question != evidence.Beyond && a.Verdict != evidence.Yes {
				t.Errorf("honest dossier %d: %s %s", i, a.Asks, a.Says)
			}
		}
	}
}

func said(f evidence.Findings) string {
	text := f.About + "\n" + f.Says + "\n"
	for _, a := range f.Answers {
		text += fmt.Sprintf("%s [%s] %s\n", a.Asks, a.Verdict, a.Says)
		for _, x := range a.Findings {
			text += fmt.Sprintf("   - [%s, %s] %s %v %v\n", x.Code, x.Verdict, x.Says, x.Entries, x.Paths)
		}
	}
	return text
}

var update = flag.Bool("update", false, "write what is said anew")

// What people read of an honest file, of one without photographs and receipt,
// and of one in which two photographs were swapped.
func TestSaid(t *testing.T) {
	h := evidencetest.New(t, "say", 6)
	receipt := h.Receipt()
	swapped := h.Dossier(evidencetest.Options{Stripped: true})
	var shown []string
	for _, p := range swapped.About.Photos {
		if !p.Copy.IsZero() {
			shown = append(shown, evidence.CopyPath(p.Ref, p.Ext))
		}
	}
	swapped.Files[shown[0]], swapped.Files[shown[1]] = swapped.Files[shown[1]], swapped.Files[shown[0]]
	swapped.About.Left = []evidence.Left{{What: "the names of the people", Why: "nobody asked for them"}}
	got := said(verify(t, h.Dossier(evidencetest.Options{Card: true, Paper: true}).Pack(), &receipt)) + "\n" +
		said(verify(t, h.Dossier(evidencetest.Options{Photos: evidence.NoPhotos}).Pack(), nil)) + "\n" +
		said(verify(t, swapped.Pack(), &receipt))
	const golden = "testdata/said.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("said otherwise (-want +got); if it should be so, run with -update:\n%s", diff)
	}
}
