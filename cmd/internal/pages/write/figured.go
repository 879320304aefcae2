package write

import (
	"context"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
)

// figure works out at once what the record would say if the draft were
// stamped as it is; nil as long as that cannot be told.
func (w *Writer) figure(ctx context.Context, t *task, d draft.Draft) any {
	if w.Figure == nil || t.by == "" || len(d.Values) == 0 {
		return nil
	}
	payload, problems := t.asked("save", d.Values)
	if len(problems) > 0 {
		return nil
	}
	s, id, err := w.Live.Suppose(ctx, journal.Draft{Subject: t.subject, By: t.by, Data: payload})
	if err != nil {
		w.Logger.DebugContext(ctx, "suppose an entry", "kind", t.kind, "error", err)
		return nil
	}
	if t.of != nil {
		id = t.of.ID
	}
	return w.figured(s, id)
}

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
