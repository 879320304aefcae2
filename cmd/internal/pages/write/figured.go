package write

import (
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
)

// figured is what template "figure" shows of an entry, nil for nothing.
func (w *Writer) figured(s *live.Snapshot, id journal.EntryID) any {
	if w.Figure == nil {
		return nil
	}
	f := w.Figure(s, id)
	if z, ok := f.(interface{ IsZero() bool }); ok && z.IsZero() {
		return nil
	}
	return f
}
