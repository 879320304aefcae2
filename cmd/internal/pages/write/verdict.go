package write

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
)

// Verdict stands beside the button that stamps, always in view: the worst of
// what is typed, and what the button does about it. Where a hold point would
// break, or a photograph is missing that cannot be taken later, the first press
// is answered with the verdict and an armed button; the second one stamps, if
// nothing changed between them. The template "entry-verdict" shows it.
type Verdict struct {
	figure.Worst
	Without string // that a photograph is missing that the stage wants, or ""
	Acts    []Act
	Armed   string      // what a second press repeats; "" before the first was answered
	Change  string      // the id of the field at which an armed form is changed
	Amiss   pages.Amiss // what keeps the form from being written
}

// Act is a button that writes.
type Act struct {
	Do, Say string
}

// Asks reports whether a first press only asks.
func (v Verdict) Asks() bool { return v.Breaks || v.Without != "" }

// Calm reports whether there is nothing to be said.
func (v Verdict) Calm() bool { return len(v.Say) == 0 && !v.Asks() }

// Does is what a button says: what it does, and that it does so all the same.
func (v Verdict) Does(a Act) string {
	say := a.Say
	switch {
	case v.Breaks && v.Without != "":
		say += " all the same, without a photograph"
	case v.Breaks:
		say += " all the same"
	case v.Without != "":
		say += " without a photograph"
	}
	if v.Armed != "" {
		return "Yes, " + strings.ToLower(say[:1]) + say[1:]
	}
	return say
}

// worked is what is worked out at once of a draft.
type worked struct {
	Figure  any // what template "figure" shows, nil as long as that cannot be told
	Verdict Verdict
	Days    []form.FieldView // fields of days, with what stands in them
	Default bool             // the page names the shop's default as a source
	sure    string           // by which a second press is known to be of the same
}

// work supposes that the draft is stamped by a button, with its photographs, and
// says what the record would say then.
func (w *Writer) work(ctx context.Context, t *task, d draft.Draft, do string) (is worked) {
	typed := t.typed(d)
	is.Verdict.Acts, is.Default, is.Days = t.acts(typed), t.byDefault(), t.sheet.Days(typed)
	if t.by == "" || len(d.Values) == 0 {
		return is
	}
	payload, problems := t.asked(do, d.Values)
	if len(problems) > 0 {
		return is
	}
	raw, err := journal.MarshalPayload(payload)
	if err != nil {
		return is
	}
	is.Verdict.Without = t.blind(d)
	w.suppose(ctx, t, &is, t.draft(payload, d.Photos))
	is.seal(t.path, do, string(raw))
	return is
}

// suppose works out what an entry comes to in the shop in which it is written.
func (w *Writer) suppose(ctx context.Context, t *task, is *worked, d journal.Draft) {
	s, id, err := w.Live.Suppose(ctx, d)
	if err != nil {
		w.Logger.DebugContext(ctx, "suppose an entry", "kind", t.kind, "error", err)
		return
	}
	if t.of != nil {
		id = t.of.ID
	}
	is.Figure = w.figured(s, id)
	is.Default = is.Default || byDefault(is.Figure)
	is.Verdict.Worst = figure.WorstOf(t.snap, s, id)
}

// seal says what a second press has to be of: the same form, typed the same, of
// which the same was said.
func (is *worked) seal(typed ...string) {
	sum := sha256.Sum256([]byte(fmt.Sprintf("%q\n%q\n%q", typed, is.Verdict.Names, is.Verdict.Without)))
	is.sure = hex.EncodeToString(sum[:12])
}

// draft is the entry as it would be written, with its photographs.
func (t *task) draft(payload journal.Payload, shots []draft.Photo) journal.Draft {
	photos := make([]journal.Photo, 0, len(shots))
	for _, shot := range shots {
		photos = append(photos, shot.Photo)
	}
	journal.Attach(payload, photos...)
	about := t.subject
	if t.about != nil {
		if named, err := t.about(payload); err == nil {
			about = named
		}
	}
	return journal.Draft{Subject: about, By: t.by, Data: payload}
}

// acts are the buttons of a form that write.
func (t *task) acts(typed form.Values) []Act {
	if t.of == nil {
		return []Act{{saveDo, t.sheet.Does(typed)}}
	}
	var list []Act
	if len(t.sheet.Fields) > 0 {
		list = append(list, Act{saveDo, "Strike it through and put this instead"})
	}
	return append(list, Act{strikeDo, "Strike out without replacement"})
}

// arm answers a first press: what was pressed can be pressed once more.
func (v *Verdict) arm(is worked, do, change string) {
	v.Armed, v.Change = is.sure, change
	for _, a := range v.Acts {
		if a.Do == do {
			v.Acts = []Act{a}
			return
		}
	}
}
