package write

import (
	"cmp"
	"context"
	"slices"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// workAll supposes that all forms that are ticked are stamped in one press, in the order
// of the page: each is judged behind those above it and beside those below. It says what
// each comes to, and the worst of all beside the button of all.
func (w *Writer) workAll(ctx context.Context, list []*turn) (all worked, each map[*turn]worked) {
	say := "Stamp"
	if len(list) > 0 {
		say += " " + words.Count(len(list), "entry")
	}
	all.Verdict.Acts = []Act{{saveDo, say}}
	each = w.supposeAll(ctx, list)
	var sealed []string
	for _, t := range list {
		is := each[t]
		if is.Verdict.Without = t.blind(t.st.draft); t.shownBeside(list) {
			is.Verdict.Without = ""
		}
		each[t] = is
		v := &all.Verdict
		for _, say := range is.Verdict.Say {
			if !slices.ContainsFunc(v.Say, func(o figure.Sentence) bool { return o.Text == say.Text }) {
				v.Say = append(v.Say, say)
			}
		}
		v.Names = append(v.Names, is.Verdict.Names...)
		v.Breaks = v.Breaks || is.Verdict.Breaks
		v.Without = cmp.Or(v.Without, is.Verdict.Without)
		all.Default = all.Default || byDefault(is.Figure)
		sealed = append(sealed, t.path, is.sure)
	}
	all.seal(sealed...)
	return all, each
}

// supposeAll works out what the forms come to in the shop in which all are written that
// can be.
func (w *Writer) supposeAll(ctx context.Context, list []*turn) map[*turn]worked {
	each := make(map[*turn]worked)
	var drafts []journal.Draft
	var of []*turn
	for _, t := range list {
		if t.by == "" || len(t.st.draft.Values) == 0 {
			continue
		}
		payload, problems := t.payload(t.st.draft.Values)
		if len(problems) > 0 {
			continue
		}
		raw, err := journal.MarshalPayload(payload)
		if err != nil {
			continue
		}
		var is worked
		is.seal(t.path, saveDo, string(raw))
		each[t] = is
		drafts, of = append(drafts, t.draft(payload, t.st.draft.Photos)), append(of, t)
	}
	if len(drafts) == 0 {
		return each
	}
	s, ids, err := w.Live.SupposeAll(ctx, drafts...)
	if err != nil {
		w.Logger.DebugContext(ctx, "suppose entries", "error", err)
		return each
	}
	for i, t := range of {
		is := each[t]
		is.Figure, is.Verdict.Worst = w.figured(s, ids[i]), figure.WorstOf(t.snap, s, ids[i])
		each[t] = is
	}
	return each
}
