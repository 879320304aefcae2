package recur_test

import (
	"testing"

	"fettlebook/journal/recur"
)

// A difference that rounds to nothing has no sign.
func TestSigned(t *testing.T) {
	for share, want := range map[float64]string{
		0: "0", 0.0001: "0", -0.0001: "0", 0.0004: "0", 0.0006: "+0.1", -0.0006: "-0.1",
		0.062: "+6.2", -0.062: "-6.2", 0.27: "+27", -0.5: "-50", 1: "+100",
	} {
		if got := recur.Signed(share); got != want {
			t.Errorf("%v is said as %q, want %q", share, got, want)
		}
	}
}
