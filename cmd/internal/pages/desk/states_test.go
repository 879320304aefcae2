package desk_test

import (
	"errors"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
)

// The desk in the states that no day of the demonstration has: before anything was written,
// with more jobs than the board lists, with words as long as some languages make them, with
// what is refused, and with a hub that does not answer. On a telephone and on a desk's screen
// nothing sticks out, nothing is too small, and no table has to be pushed sideways.
func TestStatesInABrowser(t *testing.T) {
	t.Parallel()
	empty := newOffice(t)
	long, paths := longWords(t)
	many := newOffice(t)
	for n := range live.Listed + 5 {
		many.Write(journal.About(journal.JobID(fmt.Sprintf("4f7kk%03d", n)), "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprintf("FB %d", n)}, Route: "caliper", Edition: 1})
	}
	silent := newOffice(t)
	silent.broken = errors.New("the hub’s program does not answer")
	p := house.Browser(t).Page(browsertest.Phone)
	for name, state := range map[string]struct {
		of    *office
		paths []string
	}{
		"empty":   {empty, []string{"/", "/vehicles", "/shelf", "/people", "/due", "/recurring", "/parts", "/investigations", "/uncounted", "/trace", "/search?q=nothing", "/routes"}},
		"long":    {long, paths},
		"many":    {many, []string{"/"}},
		"silent":  {silent, []string{"/people"}},
		"refused": {empty, []string{"/parts?where=moon%3Dfull", "/recurring?since=yesterday", "/job/nosuchjb", "/vehicle/NONE", "/shelf/lot/none", "/casting/none", "/recurring/moon", "/trace?q=" + strings.Repeat("x", 300)}},
	} {
		site := browse(t, state.of)
		for i, path := range state.paths {
			if !browsertest.OneIn(4, path) {
				continue
			}
			for _, size := range []browsertest.Size{browsertest.Phone, browsertest.Landscape} {
				p.Resize(size)
				p.Open(site + path)
				seen(t, p, browsertest.Look{Size: size}, fmt.Sprintf("%s-%d", name, i))
			}
		}
	}
	p.Open("about:blank") // so that no page listens when the shops close
}

// longWords is a shop in which everything has a long name of one word, with the pages that
// show them.
func longWords(t *testing.T) (*office, []string) {
	o := newOffice(t)
	const word = "Bremssattelhalterschraubendrehmomentprüfprotokollbeauftragter"
	lot := journal.LotID("pulverlackharzcharge-verkehrsorange-0118")
	job := journal.About("4f7kk2m9", "", "")
	o.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "WWWWW WW 99999", Looks: "verkehrsgelborangeschimmernder " + word}, Wish: word + " " + word, Route: "caliper", Edition: 1,
		Customer: o.Card(journal.Details{Name: word, Phone: "00 555 0147 0147 0147 0147", Address: word + "gasse 4"})})
	o.Write(journal.Of("lot", string(lot)), "io", &journal.PowderLot{Lot: lot, Colour: word, Chemistry: "polyester/HAA", UseBy: "2026-03-04"})
	o.Write(journal.Of("person", "wolfeschlegelsteinhausen"), "io", &journal.Person{Person: "wolfeschlegelsteinhausen", Initials: "WWWW", Duties: []journal.Duty{"bench", "desk", "waive", "release", "second check"}})
	part := journal.About("4f7kk2m9", "LF", "caliper")
	o.Write(part, "io", &journal.Removal{Condition: word}, "Bremssattelhalterschraubendrehmoment")
	o.Write(part, "io", &journal.Tagging{Tag: "T-1", Number: strings.ToUpper(word[:30]), Metal: "iron"}, "number and tag")
	o.Write(part, "io", &journal.Coating{Lot: lot, Coat: 1})
	o.join("tab1et01", word)
	o.tablets = []desk.Tablet{{Device: "tab1et01", Entries: 123456, Countersigned: 123455,
		CutOff: desk.CutOff{Until: o.Now().Add(time.Hour), Why: "123456 messages of no use, 1234 MB, within 10 minutes"}}}
	o.apart = []desk.Unverified{{Device: "tab1et01", Messages: 128, Bytes: 4_194_304, Newest: o.Now(), Reason: "its entries and the history here do not give the root that the device signed"},
		{Messages: 1, Bytes: 40, Newest: o.Now(), Reason: "this message cannot be read: invalid input: magic number mismatch"}}
	return o, []string{"/", "/job/4f7kk2m9", "/vehicles", "/shelf", "/shelf/lot/" + string(lot), "/people", "/parts", "/due", "/search?q=" + url.QueryEscape(word), "/trace?q=" + url.QueryEscape(string(lot)), "/holds/4f7kk2m9"}
}
