package write

import (
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// byDefault reports whether a figure names the shop's default as a source.
func byDefault(figure any) bool {
	f, ok := figure.(interface{ ByDefault() bool })
	return ok && f.ByDefault()
}

// byDefault reports whether a hold point of the stage names the shop's default as a source.
func (t *task) byDefault() bool {
	return t.at != nil && slices.ContainsFunc(t.at.Square.Holds, func(v route.Verdict) bool { return card.ByDefault(v.Source) })
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
