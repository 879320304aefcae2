package index

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/vin"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// The words of keys that stand on things. The names of homes are keys too,
// under the first word of their subject: job, run, lot, tool, card …
const (
	VIN      = "VIN"
	Plate    = "plate"
	CastMark = "cast mark"
	Number   = "casting number"
	Pattern  = "pattern" // that many castings share
	Tag      = "tag"
	Customer = "customer card" // of a job
	Serial   = "serial number" // of a tool
	Batch    = "batch"         // of fluid or of a kit, that many containers share
)

// alone reports whether a key tells vehicles or castings from each other.
func alone(word string) bool { return word != Pattern && word != Serial && word != Batch }

// notAlone are the words of the other keys, for a query.
const notAlone = `('` + Pattern + `', '` + Serial + `', '` + Batch + `')`

// key is something by which people find a home, squashed.
type key struct{ word, text string }

// keysOf returns what a payload says that stands on things.
func keysOf(p journal.Payload) (list []key) {
	add := func(word, text string) {
		if k := (key{word, Squash(text)}); k.text != "" && !slices.Contains(list, k) {
			list = append(list, k)
		}
	}
	switch p := p.(type) {
	case *journal.Job:
		add(VIN, p.Vehicle.VIN)
		if v, err := vin.Parse(p.Vehicle.VIN); err == nil { // one number may be typed in several ways
			add(VIN, v.String())
		}
		add(Plate, p.Vehicle.Plate)
		if p.Customer != nil {
			add(Customer, string(p.Customer.Card))
		}
	case *journal.Tagging:
		add(CastMark, p.Mark)
		add(Number, p.Number)
		add(Pattern, p.Pattern)
		add(Tag, p.Tag)
	case *journal.Tool:
		add(Serial, p.Serial)
	case *journal.FluidContainer:
		add(Batch, p.Batch)
	case *journal.Kit:
		add(Batch, p.Batch)
	}
	return list
}

// Keys returns the texts, squashed, by which a payload lets vehicles and
// castings be known again. A pattern is found and tells no casting from
// another; nor does what stands on things of the register.
func Keys(p journal.Payload) []string {
	var list []string
	for _, k := range keysOf(p) {
		if alone(k.word) {
			list = append(list, k.text)
		}
	}
	return list
}

// Squash makes a text comparable with what people type of it.
func Squash(text string) string { return words.Squash(text) }

// Match is a key that was found, and a home that has it.
type Match struct {
	By   string // the key's word
	Text string // the key, squashed
	Home journal.Subject
	// At is the entry that says so; of a home's own name, the zero position.
	At journal.Position
}

const matches = `SELECT k.word, k.text, h.name, coalesce(l.device, ''), d.pos & ((1 << 40) - 1)
	FROM keys k JOIN keyed d USING (key) JOIN homes h USING (home) LEFT JOIN logs l ON l.log = d.pos >> 40 `

// Find returns what has exactly this key, whatever its word, newest home
// first.
func (db *DB) Find(ctx context.Context, text string, limit int) ([]Match, error) {
	return db.matches(ctx, matches+`WHERE k.text = ? ORDER BY d.home DESC, d.pos DESC LIMIT ?`, Squash(text), limit)
}

// Keyed returns the entries that say that something has exactly this key, by
// which it is known again.
func (db *DB) Keyed(ctx context.Context, text string) ([]Row, error) {
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM keyed JOIN keys USING (key) WHERE text = ? AND word NOT IN `+notAlone+`)`, Squash(text))
}

// KeyedHomes returns the homes that have exactly this key, by name.
func (db *DB) KeyedHomes(ctx context.Context, text string) ([]journal.Subject, error) {
	return db.subjects(ctx, `SELECT DISTINCT name FROM keys JOIN keyed USING (key) JOIN homes USING (home) WHERE text = ? AND word NOT IN `+notAlone+` ORDER BY name`, Squash(text))
}

// Named returns the VINs and plates among some names, squashed, with every home
// that has one.
func (db *DB) Named(ctx context.Context, names []string) ([]Match, error) {
	list := slices.Clone(names)
	for _, name := range names {
		if v, err := vin.Parse(name); err == nil {
			list = append(list, v.String())
		}
	}
	asked, err := json.Marshal(list)
	if err != nil {
		return nil, fmt.Errorf("find: %w", err)
	}
	return db.matches(ctx, matches+`WHERE k.text IN (SELECT value FROM json_each(?)) AND k.word IN (?, ?)`, string(asked), VIN, Plate)
}

// FindPrefix returns what has a longer key that begins so.
func (db *DB) FindPrefix(ctx context.Context, text string, limit int) ([]Match, error) {
	text = Squash(text)
	if text == "" {
		return nil, nil
	}
	return db.matches(ctx, matches+`WHERE k.text > ? AND k.text < ? ORDER BY k.text, d.home DESC, d.pos DESC LIMIT ?`,
		text, text+"\U0010ffff", limit)
}

// shortest is the fewest characters of a piece.
const shortest = 3

// FindPiece returns what has a key that holds the text anywhere, newest key
// first; fewer than three characters find nothing.
func (db *DB) FindPiece(ctx context.Context, text string, limit int) ([]Match, error) {
	text = Squash(text)
	if len([]rune(text)) < shortest {
		return nil, nil
	}
	return db.matches(ctx, `WITH found AS (SELECT rowid AS key FROM pieces WHERE pieces MATCH ? ORDER BY rowid DESC LIMIT ?) `+
		matches+`WHERE k.key IN (SELECT key FROM found) ORDER BY k.key DESC, d.home DESC, d.pos DESC LIMIT ?`, quoted(text), limit, limit)
}

func quoted(text string) string { return `"` + strings.ReplaceAll(text, `"`, `""`) + `"` }

func (db *DB) matches(ctx context.Context, query string, args ...any) ([]Match, error) {
	rows, err := db.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("find: %w", db.judge(err))
	}
	defer rows.Close()
	var list []Match
	for rows.Next() {
		var m Match
		if err := rows.Scan(&m.By, &m.Text, &m.Home, &m.At.Device, &m.At.Index); err != nil {
			return nil, fmt.Errorf("find: %w", db.judge(err))
		}
		if m.At.Device == "" {
			m.At = journal.Position{}
		}
		list = append(list, m)
	}
	return list, db.judge(rows.Err())
}
