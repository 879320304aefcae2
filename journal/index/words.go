package index

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"
	"unicode"

	"fettlebook/journal"

	"github.com/go-json-experiment/json/jsontext"
	"golang.org/x/text/unicode/norm"
)

// mostWords caps the bytes of words of one entry.
const mostWords = 8 << 10

// Texts yields the texts in an entry's data, each with where it stands. It knows
// nothing of kinds, so those of a newer fettlebook are found too.
func Texts(data jsontext.Value) iter.Seq2[jsontext.Pointer, string] {
	return func(yield func(jsontext.Pointer, string) bool) {
		d := jsontext.NewDecoder(strings.NewReader(string(data)))
		for {
			t, err := d.ReadToken()
			if err != nil {
				return // data was checked when the entry was read
			}
			if t.Kind() != '"' {
				continue
			}
			if kind, n := d.StackIndex(d.StackDepth()); kind == '{' && n%2 == 1 {
				continue // a member's name
			}
			if !yield(d.StackPointer(), t.String()) {
				return
			}
		}
	}
}

// Words gathers from an entry's data what somebody might look for: remarks,
// texts, names. Series, quantities, hashes, keys, times and subjects are
// left out by their shape.
func Words(data jsontext.Value) string {
	var b strings.Builder
	for _, text := range Texts(data) {
		if b.Len() >= mostWords {
			break
		}
		if wordy(text) {
			b.WriteString(text)
			b.WriteByte('\n')
		}
	}
	return strings.ToValidUTF8(b.String()[:min(b.Len(), mostWords)], "")
}

// wordy reports whether a text is one that people look for.
func wordy(text string) bool {
	first, rest, several := strings.Cut(text, " ")
	switch {
	case !several:
		hashed := len(text) >= 32 && strings.ContainsAny(text, "0123456789")           // or a key, or an id; some words are as long
		timed := len(text) > 10 && text[4] == '-' && text[7] == '-' && text[10] == 'T' // of a clock or camera
		return text != "" && !hashed && !timed && strings.Count(text, "/") < 3         /* a subject */
	case numeric(text): // a series
		return false
	case numeric(first) && !strings.Contains(rest, " "):
		return !spelling(rest)
	}
	return true
}

func numeric(text string) bool { return strings.Trim(text, "0123456789.,- ") == "" }

// spelling reports whether what stands after a number looks like its unit, and
// not like what is counted.
func spelling(rest string) bool {
	return len([]rune(rest)) <= 2 || slices.Contains([]string{"min", "bar", "psi", "mil", "mils", "kPa", "ohm", "kohm", "Mohm"}, rest) ||
		strings.IndexFunc(rest, func(r rune) bool { return !unicode.IsLetter(r) }) >= 0
}

// Search returns the entries that hold all words of a text, newest first. Of each
// word that has more than one letter the beginning is enough.
func (db *DB) Search(ctx context.Context, text string, limit int) ([]Row, error) {
	query, err := db.match(ctx, text)
	if query == "" {
		return nil, err
	}
	marks, err := db.Marks(ctx)
	if err != nil {
		return nil, err
	}
	// Inside a log rising positions are rising places, over several they are
	// not: so the newest of each log, and of those the newest.
	var list []Row
	for _, m := range marks {
		rows, err := db.rows(ctx, `WHERE pos IN (SELECT rowid FROM words WHERE words MATCH ? AND rowid >= ? AND rowid < ?
			ORDER BY rowid DESC LIMIT ?)`, query, pos(m.log, 0), pos(m.log+1, 0), limit)
		if err != nil {
			return nil, err
		}
		list = append(list, rows...)
	}
	slices.SortFunc(list, func(a, b Row) int { return b.compare(a) })
	return list[:min(len(list), limit)], nil
}

// indexed is the longest beginning that has an index of its own.
const indexed = 4

// match writes a query of FTS5: every word as a beginning, all of them, and a
// single letter as a word: under it would lie a tenth of all entries. It is ""
// if there is no word. For beginnings longer than the indexed ones FTS5
// would gather all that is under them before it gives the first; so these are
// spelled out as the words that begin so.
func (db *DB) match(ctx context.Context, text string) (string, error) {
	var terms []string
	for _, word := range split(text) {
		term := quoted(word)
		letters := len([]rune(word))
		if letters > 1 {
			term += "*"
		}
		if word = fold(word); letters > indexed {
			full, err := db.begun(ctx, word)
			if err != nil {
				return "", err
			}
			if len(full) > 0 {
				term = "(" + strings.Join(full, " OR ") + ")"
			}
		}
		terms = append(terms, term)
	}
	return strings.Join(terms, " AND "), nil
}

// split cuts a text as FTS5 does.
func split(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.In(r, unicode.L, unicode.N, unicode.Co, unicode.Mn) })
}

// fold writes a word as FTS5 does, as far as one letter stands for another.
func fold(word string) string {
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(word)))
}

// mostBegun is how many words are spelled out; more are rare ones.
const mostBegun = 16

// begun returns the words of the index that begin so, quoted, or none if they
// are too many. It leaps from word to word and does not count their entries.
func (db *DB) begun(ctx context.Context, beginning string) ([]string, error) {
	var list []string
	for from := beginning; ; {
		var word string
		err := db.read.QueryRowContext(ctx, `SELECT term FROM vocabulary WHERE term >= ? LIMIT 1`, from).Scan(&word)
		if errors.Is(err, sql.ErrNoRows) || err == nil && !strings.HasPrefix(word, beginning) {
			return list, nil
		}
		if err != nil {
			return nil, fmt.Errorf("search words: %w", db.judge(err))
		}
		if list = append(list, quoted(word)); len(list) > mostBegun {
			return nil, nil
		}
		from = word + "\x01" // no word is between
	}
}

// CardWords are the words of a customer card as a revision of it has them; of
// one that was erased there are none.
type CardWords struct {
	Card   journal.CardID
	Words  string
	Phone  string // is found by its digits, however they stand together
	Erased bool
	Rev    int64
}

// KeepCards sets the words of customer cards, in the place of those that they
// had, and moves the mark of the cards to these revisions. Those of an erased
// card are taken out of the file, so that its bytes hold them no more. While
// somebody still reads an older state the rest goes at the next write, or when
// the index is closed or opened.
func (db *DB) KeepCards(ctx context.Context, list ...CardWords) error {
	err := db.tx(ctx, func(b *batch) error {
		for _, c := range list {
			if err := b.card(c); err != nil {
				return fmt.Errorf("card %s: %w", c.Card, err)
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("index cards: %w", err)
	}
	return nil
}

func (b *batch) card(c CardWords) error {
	if err := b.dropCard(c.Card, c.Rev); err != nil || c.Erased {
		return err
	}
	n, err := b.insert(`INSERT INTO cards (name) VALUES (?)`, string(c.Card))
	if err != nil {
		return err
	}
	return b.exec(`INSERT INTO card_words (rowid, text) VALUES (?, ?)`, n, c.Words+"\n"+dialled(c.Phone))
}

// dial marks the words of telephone numbers: a sign of no script, so that they are
// no words of any text.
const dial = "\ue000"

// leastDialled is how many digits of a telephone number find it.
const leastDialled = 4

// dialled writes a telephone number as words: one for each digit from which
// somebody may begin, with the code of the country or without it.
func dialled(phone string) string {
	var b strings.Builder
	for digits := digitsOf(phone); len(digits) >= leastDialled; digits = digits[1:] {
		b.WriteString(dial + digits + "\n")
	}
	return b.String()
}

func digitsOf(text string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, text)
}

// dials is the word by which a telephone number is found, or "" if the text is
// none. Zeros before it stand for the way out of a place or a country.
func dials(text string) string {
	if strings.Trim(text, "0123456789 +-/().") != "" {
		return ""
	}
	if digits := strings.TrimLeft(digitsOf(text), "0"); len(digits) >= leastDialled {
		return dial + digits
	}
	return ""
}

// CardMark returns the greatest revision of a card's state that is indexed:
// what was written and erased after it is still to come.
func (db *DB) CardMark(ctx context.Context) (rev int64, err error) {
	if err := db.read.QueryRowContext(ctx, `SELECT coalesce(max(rev), 0) FROM card_mark`).Scan(&rev); err != nil {
		return 0, fmt.Errorf("read the mark of cards: %w", db.judge(err))
	}
	return rev, nil
}

func (b *batch) dropCard(card journal.CardID, rev int64) error {
	if err := b.exec(`INSERT INTO card_mark (one, rev) VALUES (1, ?) ON CONFLICT DO UPDATE SET rev = max(rev, excluded.rev)`, rev); err != nil {
		return err
	}
	if err := b.exec(`DELETE FROM card_words WHERE rowid IN (SELECT card FROM cards WHERE name = ?)`, string(card)); err != nil {
		return err
	}
	n, err := b.number(`DELETE FROM cards WHERE name = ? RETURNING 1`, string(card))
	b.db.unwiped = b.db.unwiped || n > 0
	return err
}

// wipe empties the write-ahead log, which holds older states of pages.
// writing is held.
func (db *DB) wipe(ctx context.Context) error {
	var busy, log, done int
	if err := db.conn.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &log, &done); err != nil {
		return db.judge(err)
	}
	db.unwiped = busy != 0
	return nil
}

// SearchCards returns the customer cards that hold all words of a text, of
// each the beginning being enough, the last written first.
func (db *DB) SearchCards(ctx context.Context, text string, limit int) ([]journal.CardID, error) {
	words := split(text)
	if len(words) == 0 {
		return nil, nil
	}
	query := ""
	for i, w := range words {
		if i > 0 {
			query += " AND "
		}
		query += quoted(w) + "*"
	}
	if number := dials(text); number != "" {
		query += " OR " + quoted(number) + "*"
	}
	return db.cards(ctx, `SELECT name FROM card_words w JOIN cards c ON c.card = w.rowid
		WHERE card_words MATCH ? ORDER BY w.rowid DESC LIMIT ?`, query, limit)
}

func (db *DB) cards(ctx context.Context, query string, args ...any) ([]journal.CardID, error) {
	rows, err := db.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("search cards: %w", db.judge(err))
	}
	defer rows.Close()
	var list []journal.CardID
	for rows.Next() {
		var card journal.CardID
		if err := rows.Scan((*string)(&card)); err != nil {
			return nil, fmt.Errorf("search cards: %w", db.judge(err))
		}
		list = append(list, card)
	}
	return list, db.judge(rows.Err())
}

// CardsWith returns the customer cards that hold a word, as it is.
func (db *DB) CardsWith(ctx context.Context, word string) ([]journal.CardID, error) {
	return db.cards(ctx, `SELECT name FROM card_words w JOIN cards c ON c.card = w.rowid WHERE card_words MATCH ? ORDER BY w.rowid`, quoted(word))
}
