package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"fettlebook/journal/trade/stat"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

type (
	// points are what a chart is drawn of, all of one form.
	points struct {
		manner manner
		all    []point
	}

	// point is one count or reading, and what it is a count of.
	point struct {
		text, name string
		value      float64
		of         float64
		fraction   bool // written with a decimal point
	}

	// manner is how points are written.
	manner int
)

const (
	alone   manner = iota // 5
	ofParts               // 5 of 40
	inUnits               // 5 in 2.5
)

func (f manner) example() string {
	return [...]string{alone: "5", ofParts: "5 of 40", inUnits: "5 in 2.5"}[f]
}

// pointsOf reads "week 3: 2 of 40" and the like.
func pointsOf(texts []string) (p points, err error) {
	for i, text := range texts {
		one, how, err := pointOf(text)
		if err != nil {
			return p, fmt.Errorf("point %d, %w", i+1, err)
		}
		if i > 0 && how != p.manner {
			return p, fmt.Errorf("point %d, %q, is not written as those before it, such as %s: write all in one way", i+1, text, p.manner.example())
		}
		p.manner, p.all = how, append(p.all, one)
	}
	return p, nil
}

func pointOf(text string) (p point, f manner, err error) {
	p.text = text
	value := text
	if at := strings.LastIndex(text, ":"); at >= 0 {
		p.name, value = strings.TrimSpace(text[:at]), text[at+1:]
	}
	for word, how := range map[string]manner{" of ": ofParts, " in ": inUnits} {
		if count, of, found := strings.Cut(value, word); found {
			f, value = how, count
			if p.of, err = unit.Number(of); err != nil {
				return p, f, err
			}
		}
	}
	p.fraction = strings.Contains(value, ".")
	if p.value, err = unit.Number(value); err != nil {
		return p, f, err
	}
	if f != alone && p.fraction || f == ofParts && p.of != math.Trunc(p.of) {
		return p, f, fmt.Errorf("%q: parts and defects are counted in whole numbers", text)
	}
	if f != alone && math.Abs(p.value) > stat.MaxCount || f == ofParts && math.Abs(p.of) > stat.MaxCount {
		return p, f, fmt.Errorf("%q: this is more than can be right: check for one digit too many", text)
	}
	return p, f, nil
}

func (p points) samples() (all []stat.Sample) {
	for _, one := range p.all {
		all = append(all, stat.Sample{Name: one.name, Defects: int(one.value), Parts: int(one.of)})
	}
	return all
}

func (p points) inspections() (all []stat.Inspection) {
	for _, one := range p.all {
		all = append(all, stat.Inspection{Name: one.name, Defects: int(one.value), Units: one.of})
	}
	return all
}

func (p points) values() (all []float64) {
	for _, one := range p.all {
		all = append(all, one.value)
	}
	return all
}

// name gives the points of a chart the names that were typed.
func (p points) name(c stat.Chart) {
	for i := range c.Points {
		c.Points[i].Name = p.all[i].name
	}
}

// counts returns the values of points that are counts.
func (p points) counts() (all []int, err error) {
	for i, one := range p.all {
		if one.fraction || math.Abs(one.value) > stat.MaxCount {
			return nil, fmt.Errorf("point %d, %q, is not a count: write a whole number, at most %d", i+1, one.text, stat.MaxCount)
		}
		all = append(all, int(one.value))
	}
	return all, nil
}

// maxPoints is far above what a person looks at on one chart.
const maxPoints = 10_000

// pointsFrom reads the points of a CSV file, whose first line may be a heading.
func pointsFrom(ctx context.Context, t *terminal, file, kind string) ([]string, error) {
	rows, err := rowsOf(ctx, t, file)
	if err != nil {
		return nil, err
	}
	last := len(rows[0]) - 1
	if !strings.ContainsAny(rows[0][last], "0123456789") {
		rows = rows[1:]
	}
	if len(rows) == 0 {
		return nil, noPoints(file)
	}
	var texts []string
	word := " of "
	if slices.ContainsFunc(rows, func(row []string) bool { return strings.Contains(row[last], ".") }) {
		word = " in "
	}
	_, unnamed := unit.Number(rows[0][0])
	switch pair := kind == "p" || kind == "u"; {
	case last == 1 && kind == "" && unnamed == nil:
		return nil, fmt.Errorf("%s: %s and %s can be a name and a reading, or a count and the parts: say which chart with --kind", sourceName(file), rows[0][0], rows[0][1])
	case last == 1 && !pair || last == 0:
		word = ""
	case last > 2:
		return nil, fmt.Errorf("%s has %d columns: keep the name, the count and the parts", sourceName(file), last+1)
	}
	for _, row := range rows {
		text := row[last]
		if word != "" {
			text = row[last-1] + word + text
		}
		if len(row) > 1 && (word == "" || last == 2) {
			text = row[0] + ": " + text
		}
		texts = append(texts, text)
	}
	return texts, nil
}

func noPoints(file string) error {
	return fmt.Errorf("%s holds no points: write one on each line, such as week 1,2,40", sourceName(file))
}

// rowsOf reads a CSV file with at least one row.
func rowsOf(ctx context.Context, t *terminal, file string) (all [][]string, err error) {
	in, err := source(ctx, t, file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	rows := csv.NewReader(in)
	rows.TrimLeadingSpace = true
	for {
		row, err := rows.Read()
		switch {
		case errors.Is(err, io.EOF) && len(all) == 0:
			return nil, noPoints(file)
		case errors.Is(err, io.EOF):
			return all, nil
		case errors.Is(err, csv.ErrFieldCount):
			line, _ := rows.FieldPos(0)
			return nil, fmt.Errorf("%s, line %d, has %s and the first has %d: look for a decimal comma, and write a point", sourceName(file), line, words.Count(len(row), "column"), len(all[0]))
		case err != nil:
			return nil, fmt.Errorf("%s: %w", sourceName(file), err)
		case len(all) == maxPoints:
			return nil, fmt.Errorf("%s has more than %d points: chart them by week or by month", sourceName(file), maxPoints)
		}
		all = append(all, row)
	}
}

// source opens a file, or standard input for -. It ends with the context.
func source(ctx context.Context, t *terminal, file string) (io.ReadCloser, error) {
	if file == "-" {
		return heeding{ctx, io.NopCloser(t.In)}, nil
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.Join(fmt.Errorf("%s is a folder: name a file in it", file), f.Close())
	}
	return heeding{ctx, f}, nil
}

func sourceName(file string) string {
	if file == "-" {
		return "standard input"
	}
	return file
}

// heeding is a reader that ends with its context.
type heeding struct {
	ctx context.Context
	io.ReadCloser
}

func (h heeding) Read(p []byte) (int, error) {
	if err := h.ctx.Err(); err != nil {
		return 0, err
	}
	return h.ReadCloser.Read(p)
}
