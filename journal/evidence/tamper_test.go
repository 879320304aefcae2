package evidence_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/journaltest"
)

// tampered makes one case of a tampering.
func tampered(t testing.TB, how evidencetest.Tampering, h *evidencetest.History, seed uint64) *evidencetest.Tampered {
	t.Helper()
	receipt := h.Receipt()
	x := &evidencetest.Tampered{T: t, H: h, D: h.Dossier(evidencetest.Options{Card: true, Paper: true}), Dice: rand.New(rand.NewPCG(seed, 7)), Receipt: &receipt}
	how.Do(x)
	if x.Packed == nil {
		x.Packed = x.D.Pack()
	}
	return x
}

// missed says what of a case was not found; "" if all was.
func missed(x *evidencetest.Tampered, f evidence.Findings) string {
	codes := make(map[evidence.Code]bool)
	named := x.Where == ""
	for _, a := range f.Answers {
		for _, found := range a.Findings {
			if a.Question == evidence.Beyond {
				continue
			}
			codes[found.Code] = true
			named = named || slices.Contains(found.Paths, x.Where) || slices.ContainsFunc(found.Entries, func(at evidence.At) bool { return at.String() == x.Where })
		}
	}
	var missing []string
	for _, c := range x.Want {
		if !codes[c] {
			missing = append(missing, string(c))
		}
	}
	if !named {
		missing = append(missing, "the place "+x.Where)
	}
	if f.Verdict == evidence.Yes {
		missing = append(missing, "any doubt")
	}
	return strings.Join(missing, ", ")
}

// Each of 500 dossiers that somebody has tampered with is found, and what is
// found names what and where. With -v, a table of them is printed:
//
//	go test ./journal/evidence -run TestTampering -v
func TestTampering(t *testing.T) {
	cases := journaltest.Times(120, 500)
	var histories []*evidencetest.History
	for i := range 10 {
		histories = append(histories, evidencetest.New(t, fmt.Sprintf("tampered %d", i), 4+i%5))
	}
	ways := evidencetest.Tamperings()
	type row struct {
		cases, found int
		answers      map[evidence.Question]bool
	}
	rows := make([]row, len(ways))
	for i := range cases {
		w := i % len(ways)
		x := tampered(t, ways[w], histories[i%len(histories)], uint64(i))
		f := verify(t, x.Packed, x.Receipt)
		r := &rows[w]
		if r.cases++; r.answers == nil {
			r.answers = make(map[evidence.Question]bool)
		}
		for _, a := range f.Answers {
			if a.Question != evidence.Beyond && a.Verdict != evidence.Yes {
				r.answers[a.Question] = true
			}
		}
		if m := missed(x, f); m != "" {
			t.Errorf("case %d, %s: not found: %s\n%s", i, ways[w].Name, m, said(f))
			continue
		}
		r.found++
	}
	total := 0
	for w, r := range rows {
		var by []string
		for _, q := range questions() {
			if r.answers[q] {
				by = append(by, string(q))
			}
		}
		total += r.found
		t.Logf("%-58s %3d of %3d found, by %s", ways[w].Name, r.found, r.cases, strings.Join(by, ", "))
	}
	t.Logf("%-58s %3d of %3d found", "all", total, cases)
}

// questions are those of a check, in the order of their answers.
func questions() []evidence.Question {
	return []evidence.Question{evidence.Bytes, evidence.Signed, evidence.Countersigned, evidence.Witnessed, evidence.Receipted, evidence.Complete, evidence.Pictured, evidence.Ordered, evidence.Carded, evidence.Later, evidence.Beyond}
}
