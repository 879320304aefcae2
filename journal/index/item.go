package index

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
)

// Item is an entry as the index takes it in.
type Item struct {
	journal.Position
	// Entry is nil for bytes that are not an entry; they only take up their position.
	Entry *journal.Entry
	// Wrote is the entry as it lies in its log, where Entry is one that it
	// quotes; nil otherwise. An entry that is quoted is found like any other,
	// and by the device in whose log it lay.
	Wrote *journal.Entry
	// Payload is nil where this version cannot read the entry's data.
	Payload journal.Payload
	// Place is where the entry stands in the order of all; Past is what its
	// writer had seen, in any form, and comes back as it was given.
	Place uint64
	Past  []byte
	// Waiting says that the entry counts for nothing yet, Void that it never
	// does where it lies.
	Waiting, Void bool
}

// Read decodes what lies in a log. Place, past and waiting are left to the
// caller, and so is whether what is quoted counts. It never fails: what cannot be read is indexed as that.
func Read(l journal.Logged) Item {
	item := Item{Position: l.Position}
	e, err := journal.Decode(l.Bytes)
	if err != nil {
		return item
	}
	if t, quoted := e.Quotes(); t != nil {
		item.Wrote, e = e, quoted
	}
	item.Entry = e
	if p, err := e.Payload(); err == nil {
		item.Payload = p
	}
	return item
}

// Home returns the first pair of a subject: job/4f7kk2m9, run/bake-17.
func Home(s journal.Subject) journal.Subject {
	word, rest, _ := strings.Cut(string(s), "/")
	name, _, _ := strings.Cut(rest, "/")
	return journal.Of(word, name)
}

// Cites lists what the entry is found by among [DB.Citing]: what it stands on
// and what it cites, and the homes of that.
func (i Item) Cites() []journal.Subject {
	if i.Entry == nil {
		return nil
	}
	cited := i.named()
	for _, s := range cited {
		if home := Home(s); home != s {
			cited = append(cited, home)
		}
	}
	return cited
}

// gist is what of an item stands in the index, worked out without it. It is
// small, since a load holds thousands of them.
type gist struct {
	journal.Position
	entry   bool // or bytes that are not an entry
	id      journal.EntryID
	kind    journal.Type
	by      journal.PersonID
	day     int64
	place   int64
	past    []byte
	waiting bool
	void    bool

	home  journal.Subject
	cites []thing
	uses  []use
	keys  []key
	words string
	opens bool // a job
	bears bool // it says something of a thing of the register on which jobs rest
	// quotes says that it is quoted, proves that it brings a key.
	quotes, proves bool
	recalls        bool            // a thing that jobs used
	of             journal.EntryID // what it corrects
	data           []byte          // and what stands instead
}

// use is how often a thing was used.
type use struct {
	of    thing
	times int64
}

func digest(item Item) gist {
	g := gist{Position: item.Position, place: signed(item.Place), past: item.Past, waiting: item.Waiting, void: item.Void}
	e := item.Entry
	if e == nil {
		return g
	}
	g.entry, g.id, g.kind, g.by, g.day = true, e.ID, e.Type, e.By, day(time.Time(e.Time))
	g.home = Home(e.Subject)
	g.cites = cite(nil, g.home, item.named()...)
	g.words = Words(e.Data)
	if item.Payload == nil {
		return g
	}
	g.keys = keysOf(item.Payload)
	if !item.Waiting && !item.Void && item.Wrote == nil { // else it is counted when it is settled
		for _, u := range journal.Uses(item.Payload) {
			g.uses = append(g.uses, use{thingOf(u.Of), int64(u.Times)})
		}
	}
	g.quotes, g.bears = item.Wrote != nil, item.Payload.Kind().Is(journal.Underlies)
	switch p := item.Payload.(type) {
	case *journal.Job:
		g.opens = true
	case *journal.Device, *journal.Shop:
		g.proves = true
	case *journal.Recall:
		g.recalls = true
	case *journal.Correction:
		g.of, g.data = p.Of, p.Data
	}
	return g
}

// named lists what an entry stands on and what it cites. A newer kind carries
// its photographs in the same place.
func (i Item) named() []journal.Subject {
	list := []journal.Subject{i.Entry.Subject, journal.Of("person", string(i.Entry.By))}
	if i.Wrote != nil {
		list = append(list, journal.Of("device", string(i.Entry.Source.Device)))
	}
	if i.Payload != nil {
		return append(list, journal.Cites(i.Payload)...)
	}
	photos, err := i.Entry.Photos()
	if err != nil {
		return list
	}
	for _, p := range photos {
		list = append(list, journal.PhotoSubject(p.Ref))
	}
	return list
}

// cite adds things to a list, each with the home that it lies in: a run's
// entry is found by its jobs as well as by its parts. The own home of what
// cites them goes without saying.
func cite(list []thing, own journal.Subject, cited ...journal.Subject) []thing {
	add := func(s journal.Subject) {
		if t := thingOf(s); s != own && !slices.Contains(list, t) {
			list = append(list, t)
		}
	}
	for _, s := range cited {
		add(s)
		add(Home(s))
	}
	return list
}

// thing is what an entry cites, as a number in three parts: the lowest numbers
// are entries by their time, then come photographs by their hash, and from 0
// on what lies in homes. So what is cited at the same time lies together in
// the file, and one part of many years is written when one is cited.
//
// Things that lie deeper in one home may share a number, though hardly ever;
// so whoever asks for the entries that cite a thing looks whether they do.
type thing struct {
	home   string // in which it lies, whose number is still to be found
	number int64  // in it, or of all
}

// insideBits is how many bits number the things within a home. The home
// itself is 0. The queries that use [asked] know it.
const insideBits = 20

func thingOf(s journal.Subject) thing {
	home := Home(s)
	switch word, name, _ := strings.Cut(string(s), "/"); {
	case home != s:
		sum := sha256.Sum256([]byte(s))
		return thing{string(home), 1 + int64(binary.BigEndian.Uint64(sum[:8])%(1<<insideBits-1))}
	case word == "entry":
		if id, err := journal.ParseEntryID(name); err == nil {
			return thing{number: math.MinInt64 + int64(id.Bits()<<2) + int64(id[15]&3)}
		}
	case word == "photo":
		if ref, err := media.ParseHex(name); err == nil {
			return thing{number: math.MinInt64>>1 + int64(binary.BigEndian.Uint64(ref[:8])>>2)}
		}
	}
	return thing{home: string(home)}
}

// in returns the number of a thing in a home that has one.
func (t thing) in(home int64) int64 { return home<<insideBits + t.number }

// Place numbers are unsigned and SQLite's are signed: flipping the first bit
// keeps the order.
func signed(place uint64) int64   { return int64(place ^ 1<<63) }
func unsigned(place int64) uint64 { return uint64(place) ^ 1<<63 }

// indexBits is how many low bits of a row key hold the index in its log.
const indexBits = 40

func pos(log, index int64) int64 { return log<<indexBits + min(index, 1<<indexBits) }

// day counts the days since 1970 on the calendar of where the time was taken.
func day(t time.Time) int64 {
	_, offset := t.Zone()
	return floorDiv(t.Unix()+int64(offset), 24*60*60)
}

// dayOf reads a date as [day] counts it.
func dayOf(date journal.Date) (int64, error) {
	t, err := time.Parse(time.DateOnly, string(date))
	if err != nil {
		return 0, fmt.Errorf("%.20q is not a day such as 2026-03-02", date)
	}
	return day(t), nil
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
