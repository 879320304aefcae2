package witness_test

import (
	"testing"
	"time"

	"fettlebook/journal/proof"
)

// No request without the log's signature gets a line.
func FuzzAdd(f *testing.F) {
	f.Add([]byte("old 0\n\nfettlebook/k7m2q4xw/office\n5\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n\n— fettlebook/k7m2q4xw/office Az3grlgt\n"))
	f.Add([]byte("old 20852014\nPlRNCrwHpqhGrupue0L7gxbjbMiKA9temvuZZDDpkaw=\n\nfettlebook/k7m2q4xw/office\n"))
	f.Add([]byte("old 00\n\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		l := newLog(t, "k7m2q4xw", time.Now())
		w := witnessOf(t, t.TempDir(), newKey(t, proof.CosignerName("other234")), l.verifier())
		if line, err := w.Add(t.Context(), raw); err == nil {
			t.Errorf("signed: %q", line)
		}
	})
}
