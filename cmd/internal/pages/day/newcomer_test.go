package day_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"
)

// newcomer is somebody who sees the pages for the first time. They know the trade
// and the one thing that they want, and go by what they can read.
type newcomer struct {
	t    *testing.T
	p    *browsertest.Page
	home string
}

// starts opens the first page; what was done before counts for nothing.
func (n *newcomer) starts() {
	n.t.Helper()
	n.p.Open(n.home)
	n.p.Tally()
}

// taps follows what shows a text to the page that it leads to.
func (n *newcomer) taps(text string) {
	n.t.Helper()
	n.p.Reads(text)
	n.p.Go(text)
}

// sees waits for what they came for.
func (n *newcomer) sees(texts ...string) {
	n.t.Helper()
	for _, text := range texts {
		n.p.Sees(text)
	}
}

// asked is a task that a newcomer is given: where they begin, at whose first page,
// and how many taps it may take, the one that sets the cursor into a field and the
// last one among them. Scrolling is no tap.
type asked struct {
	task  string
	at    place
	limit int
	does  func(n *newcomer)
}

// place is a machine's first page, and the screen that it is looked at on.
type place struct {
	name string
	site int // of the day's machines
	size browsertest.Size
}

var (
	atDesk  = place{"desk", 0, browsertest.Landscape}
	atBench = place{"bench", 2, browsertest.Upright}
	inHand  = place{"bench, phone", 2, browsertest.Phone}
)

// tasks are done in a shop with two vehicles of which one was here twice.
var tasks = []asked{
	{"open a known car", inHand, 1, func(n *newcomer) {
		n.taps("TRL 4471")
		n.sees("moss-green estate", "Route card")
	}},
	{"find all cars of a lot", atDesk, 2, func(n *newcomer) {
		n.taps("Shelf")
		n.taps("so-118")
		n.sees("Where it was used", "TRL 4471", "GVN 0316")
	}},
	{"one photograph large", atDesk, 2, func(n *newcomer) {
		n.taps("TRL 4471")
		n.taps("bare metal")
		n.p.Until(`(() => { const i = document.querySelector("#large img"); return i?.complete && i.naturalWidth >= 640 && i.getBoundingClientRect().width >= innerWidth / 3; })()`)
	}},
	{"compare before and after", atDesk, 1, func(n *newcomer) {
		n.taps("TRL 4471")
		n.sees("Before and after", "Before the work", "After the work")
		n.p.Until(`(() => { const [a, b] = [...document.querySelector(".pair").querySelectorAll("img")], at = (e) => e.getBoundingClientRect(); return a.complete && b.complete && at(a).top === at(b).top && at(b).left >= at(a).right; })()`)
	}},
	{"print a receipt", atDesk, 3, func(n *newcomer) {
		n.taps("TRL 4471")
		n.taps("Receipt for the customer")
		n.sees("TRL 4471")
		n.p.Reads("As a PDF, to print or to send")
		n.p.Click("As a PDF, to print or to send")
	}},
	{"correct a torque", atDesk, 5, func(n *newcomer) {
		n.taps("TRL 4471")
		n.taps("LR banjo bolt")
		n.taps("Correct it")
		n.p.Fill("Torque", "23")
		n.taps("Strike it through and put this instead")
		n.sees("23 N·m")
	}},
	{"why it may not be handed back yet, and the way to mend that", atBench, 2, func(n *newcomer) {
		n.taps("GVN 0316")
		n.taps("Hand back")
		n.sees("The vehicle may not be handed back yet", "The pedal has not been tried yet")
		n.p.Reads("The pedal is firm")
	}},
	{"what to do next, and begin it", inHand, 2, func(n *newcomer) {
		n.sees("photograph bare seats and faces")
		n.taps("GVN 0316")
		n.taps("Write down that seats were shown bare.")
		n.sees("Seats bare", "Stamp it")
	}},
	{"find by telephone number", atDesk, 3, func(n *newcomer) {
		n.p.Fill("#find", "555 0147")
		n.taps("Find")
		n.taps("TRL 4471")
		n.sees("Vehicle record", "00 555 0147")
	}},
	{"settle a follow-up, and see that it is", atDesk, 5, func(n *newcomer) {
		n.taps("Follow-ups")
		n.taps("Rang: dry")
		n.taps("Stamp it")
		n.taps("Follow-ups")
		n.p.Gone("Rang: dry")
		n.p.Reads("Show them")
		n.p.Click("Show them")
		n.sees("answer: “dry”, 13 May 2026")
	}},
	{"read a tool’s state", atDesk, 2, func(n *newcomer) {
		n.taps("Shelf")
		n.sees("31 January 2027, in ")
		n.taps("tw-2")
		n.sees("checked: in tolerance", "next check 31 January 2027")
	}},
	{"undo a slip", atBench, 5, func(n *newcomer) {
		for done := false; !done; done = strings.Contains(n.p.Text(), "Taken back") { // a machine with much else to do may be too late
			n.starts()
			n.taps("GVN 0316")
			n.taps("A remark")
			n.p.Fill("Remark", "valve cap missing")
			n.taps("Stamp it")
			if n.p.Has("[data-undo] button") {
				n.taps("Undo")
			}
		}
	}},
	{"what the stamps mean", inHand, 1, func(n *newcomer) {
		n.taps("Help")
		n.sees("met", "broken", "in doubt", "waived")
	}},
}

// TestNewcomers gives tasks to people who have never seen the pages. Each begins at
// the first page of a desk or a bench, with their name chosen, and has a limit of
// taps.
func TestNewcomers(t *testing.T) {
	t.Parallel()
	sites := house.Day(t).Sites()
	var done taken
	t.Run("day", func(t *testing.T) {
		for _, task := range tasks {
			if !browsertest.OneIn(3, task.task) {
				continue
			}
			t.Run(task.task, func(t *testing.T) {
				t.Parallel()
				n := arrives(t, task.at, sites[task.at.site])
				task.does(n)
				done.by(t, task, n.p.Tally())
			})
		}
		t.Run("see that the hub is away", func(t *testing.T) {
			t.Parallel()
			away(t, &done)
		})
		t.Run("a job for a known car", func(t *testing.T) {
			t.Parallel()
			returns(t, &done)
		})
		for _, by := range []string{"its text", "a picture of its code"} {
			t.Run("join a second tablet by "+by, func(t *testing.T) {
				t.Parallel()
				joins(t, &done, by)
			})
		}
	})
	t.Log("\n" + done.table())
}

// arrives opens the first page in a browser of their own.
func arrives(t *testing.T, at place, address string) *newcomer {
	t.Helper()
	n := &newcomer{t: t, p: house.Browser(t).Page(at.size).For(t), home: address + "/"}
	if at.site == atDesk.site {
		n.p.Open(address + "/signin")
		n.p.Fill("Passphrase", demo.Passphrase)
		n.p.Go("Sign in")
	}
	n.p.OpenUntil(address+"/who", "IO")
	n.p.Go("IO")
	n.starts()
	return n
}

// away is a task at a bench whose line is cut: nobody else's may be.
func away(t *testing.T, done *taken) {
	tablet := house.Shop(t).Tablet("bench 1")
	n := arrives(t, inHand, tablet.Pages)
	tablet.Line.Cut()
	n.sees("No hub since ", "Entries are safe here.")
	n.taps("No hub since ")
	n.sees("Where my entries are", "Hub last heard")
	done.by(t, asked{task: "see that the hub is away, and where the entries are", at: inHand, limit: 1}, n.p.Tally())
}

// returns is a task at a bench at which a car comes in again. Typing what is on record of it
// takes nine taps.
func returns(t *testing.T, done *taken) {
	shop, plate := house.Shop(t), house.Plate()
	tablet := shop.Tablet("bench 1")
	shop.Command("", "open", "--data", tablet.Dir, "--by", "io", "--vin", "00FTLN2C15S10"+strings.TrimPrefix(plate, "TRL "), "--vin-as-is", "--plate", plate, "--looks", "moss-green estate",
		"--odometer", "63 120 km", "--corner", "LF", "--wish", "calipers in signal orange", "--customer", "W. Tarn", "--phone", "555 0143")
	n := arrives(t, inHand, tablet.Pages)
	n.p.OpenUntil(tablet.Pages+"/", plate)
	n.starts()
	n.taps("Start a job")
	n.p.Fill("Plate", plate)
	n.sees("This plate is on record.", "Customer: W. Tarn.")
	n.taps("Take over")
	n.p.Holds("What the car looks like", "moss-green estate")
	n.p.Holds("Telephone", "555 0143")
	n.p.Reads("63 120 km on ")
	n.p.Fill("Odometer", "64007")
	n.p.Click(`[value^="put:wish="]`)
	n.taps("Open the job")
	n.sees("Vehicle: now")
	done.by(t, asked{task: "start a job for a known car", at: inHand, limit: 6}, n.p.Tally())
}

// joins is a task at two machines: the desk makes an invitation, and a machine on which
// nobody chose yet what it is to be joins with it. Neither has a terminal.
func joins(t *testing.T, done *taken, by string) {
	shop, fresh := house.Shop(t), house.Fresh(t)
	desk := &newcomer{t: t, p: browsertest.SignedIn(t, shop, house.Browser(t), "/"), home: shop.Hub.Pages + "/"}
	desk.p.Open(shop.Hub.Pages + "/who")
	desk.p.Go("IO")
	desk.starts()
	desk.taps("People and tablets")
	desk.p.Fill("What it is called", "bench 2")
	desk.taps("Make an invitation")
	desk.sees("Show this to the tablet", "choose “Join a shop”")
	n := &newcomer{t: t, p: house.Browser(t).Page(inHand.size).For(t), home: fresh.Hub.Pages + "/"}
	n.starts()
	n.taps("Join a shop")
	if by == "its text" {
		n.p.Fill("or its text", desk.p.Value(`document.querySelector(".long-code").innerText`))
	} else {
		code := filepath.Join(t.TempDir(), "invitation.png")
		desk.p.Shot(code)
		n.p.Upload("#picture", code)
	}
	n.taps("Join")
	n.sees("This machine has joined")
	n.taps("Open the bench")
	n.sees("Jobs on hand")
	done.by(t, asked{task: "join a second tablet by " + by, at: place{name: "desk, then a fresh machine"}, limit: 7}, desk.p.Tally().Plus(n.p.Tally()))
}

// taken are the tasks that were done, with what each took.
type taken struct {
	mu   sync.Mutex
	rows []string
}

func (d *taken) by(t *testing.T, task asked, took browsertest.Tally) {
	t.Helper()
	if took.Taps > task.limit {
		t.Errorf("%s takes %d taps, and %d are allowed", task.task, took.Taps, task.limit)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.rows = append(d.rows, fmt.Sprintf("| %s | %s | %d | %d | %d | %d |\n", task.task, task.at.name, took.Taps, task.limit, took.Typed, took.Loads))
}

func (d *taken) table() string {
	return "| task | begins at | taps | limit | typed characters | page loads |\n|---|---|---:|---:|---:|---:|\n" + strings.Join(d.rows, "")
}
