package parts

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"
)

// ErrForm is returned for a text that is not a parts table.
var ErrForm = errors.New("not a parts table")

// WriteCSV writes the table with a line of column names first (RFC 4180). Names
// of people are left out unless they are asked for.
func (t *Table) WriteCSV(w io.Writer, people bool) error {
	out := csv.NewWriter(w)
	var columns []Column
	var line []string
	for _, c := range t.columns {
		if people || !c.Person {
			columns, line = append(columns, c), append(line, string(c.Name))
		}
	}
	if err := out.Write(line); err != nil {
		return fmt.Errorf("write parts table: %w", err)
	}
	for i := range t.n {
		for k, c := range columns {
			line[k] = t.At(i, c.Name).String()
		}
		if err := out.Write(line); err != nil {
			return fmt.Errorf("write parts table: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write parts table: %w", err)
	}
	return nil
}

// WriteDictionary writes the data dictionary as CSV.
func WriteDictionary(w io.Writer) error {
	out := csv.NewWriter(w)
	lines := [][]string{{"column", "kind", "role", "unit", "what", "how it comes about"}}
	for _, c := range Columns() {
		lines = append(lines, []string{string(c.Name), string(c.Kind), string(c.Role), c.Unit, c.Says, c.From})
	}
	if err := out.WriteAll(lines); err != nil {
		return fmt.Errorf("write data dictionary: %w", err)
	}
	return nil
}

// ReadCSV reads what [Table.WriteCSV] wrote. Columns may be in any order and
// may be missing; one that the dictionary does not have is refused, as a table
// of another edition would otherwise lose a column without a word.
func ReadCSV(r io.Reader) (*Table, error) {
	in := csv.NewReader(r)
	in.ReuseRecord = true
	head, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrForm, err)
	}
	names := make([]Column, len(head))
	all := Columns()
	for i, h := range head {
		at := slices.IndexFunc(all, func(c Column) bool { return string(c.Name) == h })
		if at < 0 {
			return nil, fmt.Errorf("%w: there is no column %q", ErrForm, h)
		}
		names[i] = all[at]
	}
	var rows []Row
	for {
		line, err := in.Read()
		if errors.Is(err, io.EOF) {
			return New(rows...), nil
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrForm, err)
		}
		row := Row{make(map[Name]Value)}
		for i, text := range line {
			v, err := names[i].value(text)
			if err != nil {
				n, _ := in.FieldPos(i)
				return nil, fmt.Errorf("%w: line %d: %w", ErrForm, n, err)
			}
			row.Put(names[i].Name, v)
		}
		rows = append(rows, row)
	}
}

// value reads a value as it stands in the CSV form.
func (c Column) value(text string) (Value, error) {
	if text == "" {
		return Value{}, nil
	}
	switch c.Kind {
	case Number:
		if f, err := strconv.ParseFloat(text, 64); err == nil && Num(f).Known() {
			return Num(f), nil
		}
		return Value{}, fmt.Errorf("%s: %q is not a number", c.Name, text)
	case YesNo:
		if text == "yes" || text == "no" {
			return Yes(text == "yes"), nil
		}
		return Value{}, fmt.Errorf("%s: %q is neither yes nor no", c.Name, text)
	case Day:
		if day, err := time.Parse(time.DateOnly, text); err == nil {
			return On(day), nil
		}
		return Value{}, fmt.Errorf("%s: %q is not a day; a day looks like 2026-03-14", c.Name, text)
	}
	return Text(text), nil
}
