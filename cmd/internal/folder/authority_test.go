package folder_test

import (
	"errors"
	"testing"

	"fettlebook/journal"
)

// A tablet neither writes nor corrects what belongs to the hub's register; it
// would count for nothing.
func TestATabletLeavesTheRegisterAlone(t *testing.T) {
	f := open(t, foundIn(t, "hub0c1n2"))
	registered := journal.Draft{Subject: "tool/tw-1", By: "io", Data: &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench}}
	e, err := f.Log.Append(t.Context(), registered) // as an earlier program would have let it
	if err != nil {
		t.Fatal(err)
	}
	for name, d := range map[string]journal.Draft{
		"a tool":               registered,
		"a correction of that": {Subject: "tool/tw-1", By: "io", Data: &journal.Correction{Of: e.ID, Reason: "slip"}},
	} {
		_, err := f.Append(t.Context(), d)
		var invalid *journal.Invalid
		if !errors.As(err, &invalid) || invalid.Problems[0].Code != journal.NotAllowed {
			t.Errorf("%s: %v", name, err)
		}
	}
	note := journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "a slip"}}}
	if e, err = f.Append(t.Context(), note); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Append(t.Context(), journal.Draft{Subject: note.Subject, By: "io", Data: &journal.Correction{Of: e.ID, Reason: "slip"}}); err != nil {
		t.Errorf("its own remark cannot be corrected: %v", err)
	}
}
