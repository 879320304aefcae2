package index

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strings"
	"time"

	"fettlebook/journal"
)

// Item is an entry as the index takes it in.
type Item struct {
	journal.Position
	// Entry is nil for bytes that are no entry; they only take up their position.
	Entry *journal.Entry
	// Payload is nil where this version cannot read the entry's data.
	Payload journal.Payload
	// Place is where the entry stands in the order of all; Past is what its
	// writer had seen, in any form, and comes back as it was given.
	Place uint64
	Past  []byte
	// Waiting says that the entry counts for nothing yet.
	Waiting bool
}

// Read decodes what lies in a log. Place, past and waiting are left to the
// caller. It never fails: what cannot be read is indexed as that.
func Read(l journal.Logged) Item {
	item := Item{Position: l.Position}
	e, err := journal.Decode(l.Bytes)
	if err != nil {
		return item
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

// gist is what of an entry stands in the index, worked out without it.
type gist struct {
	item  Item
	home  journal.Subject
	cites []journal.Subject
	keys  []key
	uses  []journal.Use
	words string
}

func digest(item Item) gist {
	g := gist{item: item}
	e := item.Entry
	if e == nil {
		return g
	}
	g.home = Home(e.Subject)
	g.cite(e.Subject)
	g.cite(journal.Of("person", string(e.By)))
	if item.Payload != nil {
		for _, s := range journal.Cites(item.Payload) {
			g.cite(s)
		}
		g.keys = keysOf(item.Payload)
		if !item.Waiting {
			g.uses = journal.Uses(item.Payload)
		}
	} else if photos, err := e.Photos(); err == nil { // a newer kind carries its photographs in the same place
		for _, p := range photos {
			g.cite(journal.PhotoSubject(p.Ref))
		}
	}
	g.words = Words(e.Data)
	return g
}

// cite adds a thing, and the home that it lies in: a run's entry is found by
// its jobs as well as by its parts. The entry's own home goes without saying.
func (g *gist) cite(s journal.Subject) {
	if home := Home(s); home != s && home != g.home {
		g.cites = append(g.cites, home)
	}
	if s != g.home {
		g.cites = append(g.cites, s)
	}
}

// thing returns the number under which a subject's citations stand. Two
// subjects might share one, with a chance of 2^-64; so whoever asks for the
// entries that cite a thing looks whether they do.
func thing(s journal.Subject) int64 {
	sum := sha256.Sum256([]byte(s))
	return int64(binary.BigEndian.Uint64(sum[:8]))
}

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
