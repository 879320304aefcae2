package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/csv"
	"fmt"
	"html"
	"io"
	"log/slog"
	mrand "math/rand/v2"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/cmd/internal/pages/draft"
	pagefigure "fettlebook/cmd/internal/pages/figure"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
)

// places is a shop in which the demonstration's story was played, and whatever tells of
// how its hold points stand.
type places struct {
	*readonlytest.Shop
	t     *testing.T
	dice  *mrand.Rand
	pages http.Handler
	far   *journaltest.Author // a tablet that heard of the shop's beginning and nothing since
	log   journaltest.History
	did   []string
}

// How a hold point stands is told alike wherever it is told, and nowhere is one met that
// is open, broken, in doubt or waived: by the command line in text and JSON, on the record
// on paper, on the pages, in the table that is exported, on the receipt and in the report.
func TestOneVerdictEverywhere(t *testing.T) {
	t.Parallel()
	p := newPlaces(t)
	p.hold()
	seen := make(map[route.State]bool)
	for range journaltest.Times(4, 15) {
		p.happen()
		p.hold()
		if t.Failed() {
			t.Fatalf("after: %s", strings.Join(p.did, "; "))
		}
		for _, id := range p.jobs() {
			for _, v := range p.view().Standing(id).Verdicts.List {
				seen[v.State] = true
			}
		}
	}
	if len(seen) < 4 {
		t.Errorf("only %v were seen", seen)
	}
}

func newPlaces(t *testing.T) *places {
	p := &places{Shop: readonlytest.New(t), t: t, dice: mrand.New(mrand.NewPCG(4, 7))}
	key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "b2"))
	p.check(err)
	invited := p.Write("shop/k7m2q4xw", "io", &journal.Invitation{Token: journal.Digest{1}, Expires: journal.Stamp(p.Now())})
	p.Write("device/b2", "io", &journal.Device{Device: "b2", Name: "bench 2", LogKey: key.Verifier(), Invitation: invited,
		ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO"})
	p.Write("device/b2", "io", &journal.LogNote{Device: "b2"})
	tree := new(proof.Tree)
	for l, err := range p.Log.Entries(t.Context(), readonlytest.Hub, 0) {
		p.check(err)
		tree.Append(l.Bytes)
	}
	root := tree.Root()
	p.far = &journaltest.Author{Source: journal.Source{Shop: "k7m2q4xw", Device: "b2"}, Boot: "b0", Clock: journal.NewClock(p.Now, rand.Reader), Now: p.Now, Started: p.Now(),
		After: journal.After{{Device: readonlytest.Hub, Size: tree.Size(), Root: [16]byte(root[:16])}}}
	p.log = journaltest.History{Key: key, Device: "b2"}
	p.Play("../internal/demo/story.jsonl")
	p.open()
	return p
}

func (p *places) check(err error) {
	p.t.Helper()
	if err != nil {
		p.t.Fatal(err)
	}
}

func (p *places) view() *live.Snapshot { return p.Live.View(p.t.Context()) }

func (p *places) jobs() []journal.JobID {
	return []journal.JobID{p.Job("job"), p.Job("first"), p.Job("other")}
}

// open makes the pages of a bench that shows the shop.
func (p *places) open() {
	quiet := slog.New(slog.DiscardHandler)
	drafts, err := draft.Open(filepath.Join(p.t.TempDir(), "drafts"), draft.Options{Now: p.Now})
	p.check(err)
	by := func(*http.Request) journal.PersonID { return "io" }
	figure := func(s *live.Snapshot, id journal.EntryID) any { return pagefigure.Of(s, id) }
	b := bench.New(bench.Config{Device: readonlytest.Hub, Name: "bench", Live: p.Live, Log: p.Log, Standing: func() bench.Standing { return bench.Standing{} }, Drafts: drafts, PINs: noPINs{},
		By: by, Phones: &phones{}, Now: p.Now, Logger: quiet})
	w := write.New(write.Config{Device: readonlytest.Hub, Store: p.Folder, Live: p.Live, Drafts: drafts, Frame: func(r *http.Request, s *live.Snapshot) any { return b.Frame(r, s) },
		By: by, May: func(journal.Kind) error { return nil }, Judge: func(context.Context, write.Shot) []string { return nil }, Figure: figure, Rand: rand.Reader, Now: p.Now, Logger: quiet})
	r := readonly.New(readonly.Config{Live: p.Live, Thumbs: p.Log, Originals: p.Photos, Cards: p.Log, Figure: figure,
		Frame: func(r *http.Request, s *live.Snapshot) any { return b.Frame(r, s) }, Now: p.Now, Logger: quiet})
	shell, err := pages.New(pages.Options{Set: "bench", Now: p.Now, Logger: quiet, Funcs: b.Funcs()}, b.Templates(), write.Templates(), readonly.Templates(), pagefigure.Templates())
	p.check(err)
	b.Show(shell)
	w.Show(shell)
	r.Show(shell)
	mux := http.NewServeMux()
	b.Routes(mux)
	w.Routes(mux)
	r.Routes(mux)
	p.pages = mux
}

// happen lets something happen that may change how hold points stand.
func (p *places) happen() {
	view := p.view()
	id := p.jobs()[p.dice.IntN(3)]
	st := view.Standing(id)
	switch len(p.did) % 5 { // each once before any is again
	case 1, 3: // an entry of the job is struck out
		var list []*record.Line
		for _, l := range st.Job.Timeline() {
			if l.Effect() != nil && !l.Kind.Is(journal.Final|journal.IsSealed|journal.Amends) && l.Kind != journal.JobOpened {
				list = append(list, l)
			}
		}
		l := list[p.dice.IntN(len(list))]
		p.here("struck "+l.Says(), l.Subject, &journal.Correction{Of: l.ID, Reason: "it was not so"})
	case 2: // a tool was found bad
		tool := []journal.ToolID{"tw-1", "tw-2", "fg-1", "tc-1"}[p.dice.IntN(4)]
		p.here("found bad "+string(tool), journal.Of("tool", string(tool)), &journal.ToolCheck{Tool: tool, Result: journal.OutOfTolerance})
	case 0: // another tablet did something of which this one had not heard
		corner := st.Job.Corners[p.dice.IntN(len(st.Job.Corners))].Corner
		p.elsewhere("opened elsewhere at "+string(corner), journal.About(id, corner, ""), &journal.LineOpening{At: "banjo bolt", Joins: journal.JoinsByBanjo})
	default: // a hold point of quality is waived
		var list []route.Verdict
		for _, v := range st.Verdicts.List {
			if v.Class != "safety" && v.State != route.Met && v.State != route.Waived {
				list = append(list, v)
			}
		}
		if len(list) == 0 {
			corner := st.Job.Corners[0].Corner
			torque, err := unit.Parse[unit.Torque]("220 N·m")
			p.check(err)
			p.here("220 for 22", journal.About(id, corner, ""), &journal.Torque{Joint: "banjo bolt", Torque: torque, Tool: "tw-2"})
			return
		}
		v := list[p.dice.IntN(len(list))]
		p.here("waived "+string(v.Hold), v.Subject, &journal.Waiver{Hold: v.Hold, Reason: "agreed with the customer"})
	}
}

// here writes an entry past what may be refused.
func (p *places) here(did string, about journal.Subject, data journal.Payload) {
	p.t.Helper()
	e, err := p.Log.Append(p.t.Context(), journal.Draft{Subject: about, By: "io", Data: data})
	p.check(err)
	p.await(did, e.ID)
}

// elsewhere has an entry arrive from the tablet that heard of nothing.
func (p *places) elsewhere(did string, about journal.Subject, data journal.Payload) {
	p.t.Helper()
	e, err := p.far.Write(journal.Draft{Subject: about, By: "mk", Data: data})
	p.check(err)
	raw, err := e.Encode()
	p.check(err)
	p.log.Entries = append(p.log.Entries, raw)
	n := int64(len(p.log.Entries))
	s, err := p.log.Segment(n-1, n)
	p.check(err)
	_, err = p.Log.Receive(p.t.Context(), s)
	p.check(err)
	p.await(did, e.ID)
}

func (p *places) await(did string, id journal.EntryID) {
	p.t.Helper()
	p.did = append(p.did, did)
	_, err := p.Live.Await(p.t.Context(), id)
	p.check(err)
}

// hold holds all places against each other.
func (p *places) hold() {
	for _, id := range p.jobs() {
		st := p.view().Standing(id)
		p.holdCommands(st)
		p.holdPages(st)
		p.holdTable(st)
		p.holdPapers(st)
	}
}

// say is how a hold point stands, on a line.
func say(state, place, title string) string {
	return strings.ToLower(strings.TrimSpace(state)) + ": " + strings.ToLower(place) + ", " + title
}

// compare holds what a place says against what is so.
func (p *places) compare(place string, got, want []string) {
	p.t.Helper()
	slices.Sort(got)
	slices.Sort(want)
	for _, one := range got {
		if !slices.Contains(want, one) {
			p.t.Errorf("%s says %q", place, one)
		}
	}
	for _, one := range want {
		if !slices.Contains(got, one) {
			p.t.Errorf("%s does not say %q", place, one)
		}
	}
	if len(got) != len(want) {
		p.t.Errorf("%s tells of %d hold points, and there are %d", place, len(got), len(want))
	}
}

var headline = regexp.MustCompile(`(?m)^(IN DOUBT|[A-Z]+) +([a-zA-Z].*?) — (.*) \((?:safety|quality), (\S+)\)$`)

func (p *places) holdCommands(st *shop.Standing) {
	var all, shown []string
	counts := make(map[route.State]int)
	for _, v := range st.Verdicts.List {
		counts[v.State]++
		all = append(all, say(string(v.State), v.Subject.Place(), v.Title))
		if v.State == route.Broken || v.State == route.InDoubt || v.State == route.Waived {
			shown = append(shown, say(string(v.State), v.Subject.Place(), v.Title))
		}
	}
	view := holdsView{Verdicts: st.Verdicts, Ignorance: st.Ignorance(), MayRelease: st.Verdicts.ReleaseAllowed()}
	var text bytes.Buffer
	p.check(writeHolds(&text, view, true, st.Card))
	var got []string
	for _, m := range headline.FindAllStringSubmatch(text.String(), -1) {
		got = append(got, say(m[1], m[2], m[3]))
	}
	p.compare("fettlebook holds", got, all)

	var raw bytes.Buffer
	p.check(printWhole(&raw, view))
	var told struct {
		List []struct {
			Title, State string
			Subject      journal.Subject
		}
	}
	p.check(json.Unmarshal(raw.Bytes(), &told, json.MatchCaseInsensitiveNames(true)))
	got = nil
	for _, v := range told.List {
		got = append(got, say(v.State, v.Subject.Place(), v.Title))
	}
	p.compare("fettlebook holds --json", got, all)

	var paper bytes.Buffer
	is := found{shown: st.Job, jobs: []*shop.Standing{st}, seals: []*shop.Sealing{p.view().Sealing(st.Job)}}
	p.check((&showRecord{}).show(&paper, is, nil))
	_, holds, ok := strings.Cut(paper.String(), "HOLD POINTS of job ")
	if !ok {
		p.t.Error("the record on paper says nothing of hold points")
	}
	got = nil
	for _, m := range regexp.MustCompile(`(?m)^  (broken|in doubt|waived) +(.*?): `).FindAllStringSubmatch(holds, -1) {
		place, title, _ := strings.Cut(m[2], ", ")
		got = append(got, say(m[1], place, title))
	}
	if head, _, _ := strings.Cut(holds, "\n"); !strings.Contains(head, fmt.Sprintf("%d met, %d open", counts[route.Met], counts[route.Open])) {
		p.t.Errorf("the record on paper counts %q", head)
	}
	want := slices.Clone(shown)
	for i := range want {
		want[i], _, _ = strings.Cut(want[i], ": ")
	}
	for i := range got {
		got[i], _, _ = strings.Cut(got[i], ": ")
	}
	p.compare("fettlebook record", got, want)
}

func (p *places) get(path string) string {
	p.t.Helper()
	w := httptest.NewRecorder()
	p.pages.ServeHTTP(w, httptest.NewRequestWithContext(p.t.Context(), http.MethodGet, path, nil))
	if w.Code >= 400 {
		p.t.Errorf("%s is answered with %d", path, w.Code)
	}
	return w.Body.String()
}

var (
	verdictOn = regexp.MustCompile(`(?s)<div class="tl held" id="([^"]*)"><div><svg class="s ([a-z-]+)".*?<p class="seen">([^<]*)</p></div>\s*<div><p><b>([^<]*)</b> — ([^ <]+(?: doubt)?) <span`)
	listedOn  = regexp.MustCompile(`(?s)<div class="need"><span class="state"><svg class="s ([a-z-]+)".*?<b aria-hidden="true">([^<]*)</b></span><div class="grow"><b>([^<]*)</b>`)
	metOn     = regexp.MustCompile(`<svg class="s met"`)
)

func (p *places) holdPages(st *shop.Standing) {
	anchors := make(map[string]route.Verdict)
	for _, v := range st.Verdicts.List {
		anchors[pages.HoldAnchor(v)] = v
	}
	page := p.get("/holds/" + string(st.Job.ID))
	found := verdictOn.FindAllStringSubmatch(page, -1)
	if len(found) != len(anchors) {
		p.t.Errorf("the page of hold points has %d of %d", len(found), len(anchors))
	}
	for _, m := range found {
		v := anchors[html.UnescapeString(m[1])]
		for _, state := range []string{strings.ReplaceAll(m[2], "-", " "), m[3], m[5]} {
			if state != string(v.State) {
				p.t.Errorf("the page of hold points has %s %s as %s, and it is %s", v.Subject, v.Hold, state, v.State)
			}
		}
	}
	for v := range st.Each() {
		path := pages.StagePath(v.Stage, v.Subject)
		page := p.get(path)
		listed, met := false, 0
		for _, m := range listedOn.FindAllStringSubmatch(page, -1) {
			title := html.UnescapeString(m[3])
			if m[1] == "met" {
				met++
			}
			if title == v.Title {
				listed = true
				if state := strings.ReplaceAll(m[1], "-", " "); state != string(v.State) || m[2] != string(v.State) {
					p.t.Errorf("%s has %s as %s, %s, and it is %s", path, v.Hold, m[1], m[2], v.State)
				}
			}
		}
		if !listed {
			p.t.Errorf("%s does not show %s", path, v.Hold)
		}
		if n := len(metOn.FindAllString(page, -1)); n != met {
			p.t.Errorf("%s has %d marks that say met, and %d hold points that are", path, n, met)
		}
	}
	for _, c := range st.Job.Corners {
		path := "/now/" + string(journal.About(st.Job.ID, c.Corner, ""))
		if n := len(metOn.FindAllString(p.get(path), -1)); n > 0 {
			p.t.Errorf("%s, which shows what is still to be done, has %d marks that say met", path, n)
		}
	}
}

func (p *places) holdTable(st *shop.Standing) {
	source := &exchange.Source{Shop: p.Folder.Shop, Log: p.Log, Jobs: []*shop.Standing{st}}
	var raw bytes.Buffer
	p.check(source.Table(p.t.Context(), &raw))
	rows, err := csv.NewReader(&raw).ReadAll()
	p.check(err)
	column := func(name string) int { return slices.Index(rows[0], name) }
	for v := range st.Each() {
		level := "vehicle"
		switch {
		case v.Subject.Part() != "":
			level = "part"
		case v.Subject.Corner() != "":
			level = "corner"
		}
		at := column(level + ": hold point, " + string(v.Hold))
		if at < 0 {
			p.t.Errorf("the table has no column for %s %s", level, v.Hold)
			continue
		}
		for _, row := range rows[1:] {
			own := journal.About(st.Job.ID, journal.Corner(row[column("corner")]), journal.PartID(row[column("part")]))
			if covers := v.Subject == own || level == "corner" && own.Corner() == v.Subject.Corner() || level == "vehicle"; covers && row[at] != string(v.State) {
				p.t.Errorf("the table has %s %s as %q, and it is %s", v.Subject, v.Hold, row[at], v.State)
			}
		}
	}
	for _, form := range []func(context.Context, io.Writer) (exchange.Left, error){source.EPCIS, source.Events} {
		var out bytes.Buffer
		_, err := form(p.t.Context(), &out)
		p.check(err)
		for _, says := range []string{`"disposition":"conformant"`, `requirement met`, `"state":"met"`} {
			if strings.Contains(out.String(), says) {
				p.t.Errorf("an open format says %s", says)
			}
		}
	}
}

var heldRow = regexp.MustCompile(`<tr role="row"><th[^>]*>(.*?)</th><td[^>]*>(.*?) \((?:safety|quality)\)</span></td><td[^>]*>(.*?)</td>`)

func (p *places) holdPapers(st *shop.Standing) {
	asked := paper.Asked{At: p.Now(), Photos: paper.Small{Thumbs: p.Log}}
	doc, err := paper.NewReport(p.t.Context(), p.view(), paper.About{Jobs: []journal.JobID{st.Job.ID}}, asked)
	p.check(err)
	text := p.html(doc)
	var got, want []string
	for _, m := range heldRow.FindAllStringSubmatch(text, -1) {
		got = append(got, say(inHTML(m[3]), "", inHTML(m[2])))
	}
	for _, v := range st.Verdicts.List {
		want = append(want, say(string(v.State), "", v.Title))
	}
	p.compare("the report", got, want)

	if st.Job.Released == nil {
		return
	}
	doc, err = paper.NewReceipt(p.t.Context(), p.view(), st, asked)
	p.check(err)
	text = inHTML(p.html(doc))
	for _, v := range st.Verdicts.List {
		if v.State == route.Met || v.State == route.Open || strings.Contains(text, v.Title) {
			continue
		}
		if !slices.ContainsFunc(v.Figures, func(clause string) bool { return strings.Contains(strings.ToLower(text), strings.ToLower(clause)) }) {
			p.t.Errorf("the receipt does not say that %s of %s is %s: %s", v.Hold, v.Subject, v.State, v.Why)
			if at := strings.Index(text, "Not met"); at >= 0 {
				p.t.Log(text[at:min(len(text), at+600)])
			}
		}
	}
}

func (p *places) html(doc *paper.Document) string {
	p.t.Helper()
	var out bytes.Buffer
	p.check(doc.HTML(&out, paper.Screen{}))
	return out.String()
}

// inHTML is what stands in HTML, on one line.
func inHTML(text string) string {
	text = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(text, " ")
	return strings.Join(strings.Fields(html.UnescapeString(text)), " ")
}

// noPINs is a tablet at which nobody has a PIN.
type noPINs struct{}

func (noPINs) Has(journal.PersonID) (bool, error) { return false, nil }

func (noPINs) Change(context.Context, journal.PersonID, journal.PersonID, string, string) error {
	return nil
}
