package readonly

import (
	"net/http"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// helpPage explains what stands on all pages: the stamps, how far an entry is,
// and what each hold point of the shop's cards is for.
type helpPage struct {
	Stamps  []explained
	Themes  []setting
	Keys    []setting // on which numbers are typed
	Breaks  []mishap
	Cards   []helpCard
	Sources string
	Desk    bool
}

type explained struct {
	Stamp pages.Stamp
	Says  string
}

// setting is what can be chosen of the pages at a browser.
type setting struct {
	Value, Say string
	On         bool
}

// mishap is what may happen to a machine, and what to do then.
type mishap struct{ What, Do string }

func mishaps() []mishap {
	return []mishap{
		{"A tablet is stolen or lost", "Revoke it at the desk first, under People and tablets. It is cut off at once, and what it sends afterwards counts for nothing. If whoever has it may know a passphrase of the desk, set another one."},
		{"A tablet breaks", "What was countersigned is at the hub. Revoke the tablet at the desk and invite another one. What it alone held comes back only from its own disk, with “fettlebook hub take-over”, or from its backup, which meets the hub before anything is stamped there."},
		{"A tablet’s disk is full", "Nothing more is written there, and nothing is lost. Make room on that disk; it goes on without anything else. Photographs that the hub has can go to another disk with “fettlebook photos archive”."},
		{"The hub’s disk is full", "Tablets keep what they write and bring it when there is room. Make room, or end the hub and move the photographs to another disk with “fettlebook photos move”."},
		{"The hub breaks", "Restore its backup on another machine with “fettlebook restore”, and start the hub there. The tablets go on meanwhile, and give back what they hold of what came after; what no machine holds any more is named. Never let two machines go on as the same hub."},
		{"The hub’s keys, or a backup of them, are lost or stolen", "Stop the hub and run “fettlebook hub change-keys” with the reason on its machine; then start it again and make a backup at once. Tablets follow when they next meet the hub. What is signed with the old keys from then on counts for nothing, and papers from before stay good. Older backups hold the old keys."},
		{"The hub’s keys are gone, with every backup of them", "Make a hub with new keys of copies of the tablets’ data folders, with “fettlebook hub found-keys”. Nobody signed these keys, so somebody agrees to them at each tablet: with “fettlebook tablet agree” and what “fettlebook hub appeal” wrote, by the fingerprint that the owner says. Until then the hub takes nothing of that tablet; what is written there stays."},
		{"The hub has another address", "Tablets look for it at every address that they remember. One that was away meanwhile is started once with “fettlebook tablet run --hub HOST:PORT”."},
		{"A new version is put in", "Make a backup. Then stop the program, put the new one in its place and start it: first at the hub, then at every tablet the same day. A tablet may have to wait with what it sends until both are new. An older version refuses what a newer one has written, and leaves it as it is."},
		{"A machine is to go", "Let the tablet come in step with the hub, then revoke it at the desk. If the program starts with the machine, run “fettlebook service remove” there. Then stop it, and delete it with its data folder."},
	}
}

type helpCard struct {
	Title  string
	Stages []helpStage
}

type helpStage struct {
	Title string
	Holds []helpHold
}

type helpHold struct{ Title, Reason, Limit, Source, Class string }

func stamps() []explained {
	return []explained{
		{pages.Stamp{}, "Nothing is written here yet."},
		{pages.Stamp{State: route.Open}, "Something is written, and something that the hold point asks for is still missing."},
		{pages.Stamp{State: route.Met, Initials: "IO", Seed: "help"}, "Whatever the hold point asks for is there and within its limit. The initials are of who stamped last."},
		{pages.Stamp{Written: true, Initials: "IO", Seed: "help"}, "An entry is written. Whether it meets a hold point is said beside it."},
		{pages.Stamp{State: route.Broken}, "Something is outside its limit, or was done in the wrong order. It says what, and what puts it right."},
		{pages.Stamp{State: route.InDoubt}, "Two tablets wrote without knowing of each other, and which was first is not known. Somebody who did one of the two says so, or the check is done again."},
		{pages.Stamp{State: route.Waived}, "A quality hold point was waived with a reason, which is printed on every paper. A safety hold point cannot be waived."},
		{pages.Stamp{Struck: true, Initials: "IO"}, "What was written here was struck out or replaced. It stays to be read."},
	}
}

func (p *Paper) help(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	chosen := pages.Theme(r)
	d := helpPage{Stamps: stamps(), Sources: card.Sources, Desk: p.Desk, Breaks: mishaps(), Cards: helpCards(s),
		Themes: []setting{{"", "as the system says", chosen == ""}, {"light", "light", chosen == "light"}, {"dark", "dark", chosen == "dark"}},
		Keys:   []setting{{"", "large keys on the page", pages.Keypad(r)}, {"off", "the device’s keyboard", !pages.Keypad(r)}}}
	p.shell.Page(w, r, http.StatusOK, "help", pages.View{Title: "Help", Frame: p.Frame(r, s), Data: d})
}

// helpCards are the hold points of the newest editions, in the cards' own words.
// A card that this version cannot read is left out.
func helpCards(s *live.Snapshot) (list []helpCard) {
	for _, one := range s.Shop.Routes {
		if one.Stated == nil {
			continue
		}
		c, err := card.ParseHeld(one.Stated.Text)
		if err != nil {
			continue
		}
		say := func(text string) string { return c.Say(text, s.Shop.Units) }
		h := helpCard{Title: c.Title}
		for _, stage := range c.Stages {
			if len(stage.Holds) == 0 {
				continue
			}
			hs := helpStage{Title: strings.TrimSpace(stage.Title)}
			for _, hold := range stage.Holds {
				hs.Holds = append(hs.Holds, helpHold{say(hold.Title), say(hold.Reason), say(hold.Limit), say(hold.Source), string(hold.Class)})
			}
			h.Stages = append(h.Stages, hs)
		}
		list = append(list, h)
	}
	return list
}
