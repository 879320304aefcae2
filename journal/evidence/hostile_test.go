package evidence_test

import (
	"bytes"
	"context"
	"errors"
	"runtime/debug"
	"strings"
	"testing"

	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

// A file that is made to do harm is refused with a sentence, or what is wrong
// with it is found.
func TestHostileFiles(t *testing.T) {
	for _, h := range evidencetest.HostileFiles() {
		t.Run(strings.ReplaceAll(h.Name, "/", "_"), func(t *testing.T) {
			defer debug.FreeOSMemory()
			raw := h.Make(t)
			b, err := bag.Open(bytes.NewReader(raw), int64(len(raw)))
			var refused *bag.Refusal
			if errors.As(err, &refused) {
				if refused.Reason != h.Refused || !strings.HasSuffix(refused.Says, ".") {
					t.Errorf("refused as %q: %s; want %q", refused.Reason, refused.Says, h.Refused)
				}
				return
			}
			if err != nil || h.Refused != "" {
				t.Fatalf("not refused as %q: %v", h.Refused, err)
			}
			f, err := evidence.Verify(context.Background(), b, evidence.Trusted{}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, a := range f.Answers {
				for _, found := range a.Findings {
					if found.Code == h.Found {
						return
					}
				}
			}
			t.Errorf("%q is not found: %s", h.Found, said(f))
		})
	}
}
