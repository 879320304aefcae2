package parts

import (
	"fmt"
	"hash/crc32"
	"math"

	"fettlebook/journal"

	"github.com/fxamacker/cbor/v2"
)

// packed is a row as [Pack] writes it.
type packed struct {
	_       struct{}  `cbor:",toarray"`
	Known   []byte    // the columns that are, by their places in the dictionary
	Numbers []float64 // of those that are not words
	Words   []string  // of those that are
}

// Edition tells apart the dictionaries of different programs: what was packed
// with other columns cannot be unpacked.
func Edition() int64 {
	sum := crc32.NewIEEE()
	for _, c := range Columns() {
		fmt.Fprintf(sum, "%s %s\n", c.Name, c.Kind)
	}
	return int64(sum.Sum32())
}

// Pack writes rows in a few bytes, from which a table is made again fast:
// [Table.WithPacked]. Of no rows it is empty.
func Pack(rows []Row) ([]byte, error) {
	if len(rows) == 0 {
		return nil, nil
	}
	mode, err := cbor.EncOptions{ShortestFloat: cbor.ShortestFloat16}.EncMode()
	if err != nil {
		return nil, fmt.Errorf("pack rows: %w", err)
	}
	columns := Columns()
	if len(columns) > math.MaxUint8 {
		return nil, fmt.Errorf("pack rows: %d columns are too many", len(columns))
	}
	var list []packed
	for _, r := range rows {
		var p packed
		for i, c := range columns {
			v := r.Get(c.Name)
			if v.kind != c.Kind {
				continue
			}
			p.Known = append(p.Known, byte(i))
			if c.Kind == Word {
				p.Words = append(p.Words, v.word)
			} else {
				p.Numbers = append(p.Numbers, v.number)
			}
		}
		list = append(list, p)
	}
	body, err := mode.Marshal(list)
	if err != nil {
		return nil, fmt.Errorf("pack rows: %w", err)
	}
	return body, nil
}

// WithPacked returns the table with the rows of some jobs replaced by packed
// ones.
func (t *Table) WithPacked(changed map[journal.JobID][]byte) (*Table, error) {
	g := t.grow()
	values := make([]Value, len(g.columns))
	for job, body := range changed {
		if len(body) == 0 {
			continue
		}
		var list []packed
		if err := cbor.Unmarshal(body, &list); err != nil {
			return nil, fmt.Errorf("unpack rows of job %s: %w", job, err)
		}
		for _, p := range list {
			clear(values)
			if err := p.into(values, g.columns); err != nil {
				return nil, fmt.Errorf("unpack rows of job %s: %w", job, err)
			}
			g.add(values)
		}
	}
	return g.merged(t.others(func(job journal.JobID) bool { _, ok := changed[job]; return ok })), nil
}

// into puts what is known where it belongs.
func (p packed) into(values []Value, columns []Column) error {
	for _, at := range p.Known {
		switch {
		case int(at) >= len(columns):
			return ErrForm
		case columns[at].Kind == Word && len(p.Words) > 0:
			values[at], p.Words = Text(p.Words[0]), p.Words[1:]
		case columns[at].Kind != Word && len(p.Numbers) > 0:
			values[at], p.Numbers = Value{kind: columns[at].Kind, number: p.Numbers[0]}, p.Numbers[1:]
		default:
			return ErrForm
		}
	}
	return nil
}
