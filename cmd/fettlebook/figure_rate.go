package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/stat"
)

type figureRate struct {
	Counts []string `arg:"" name:"k of n" help:"How many of how many parts, such as 3 of 40."`
	Level  entered  `default:"95 %" help:"The confidence of the interval." placeholder:"\"95 %\""`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// Run prints the rate and its interval.
func (c *figureRate) Run(t *terminal) error { return t.figure("rate", c.JSON, c.work) }

func (c *figureRate) work(in *intake) (s sheet.Sheet, err error) {
	text := strings.Join(c.Counts, " ")
	in.typed("counts", text)
	sample, err := sampleOf(text)
	if err != nil {
		return s, err
	}
	r, err := stat.RateOf(sample, in.level("level", c.Level))
	if err != nil {
		return s, err
	}
	return r.Sheet(), nil
}

// sampleOf reads "3 of 40" and what is said of it: "3 of 40 with prebake".
func sampleOf(text string) (stat.Sample, error) {
	words := strings.Fields(text)
	if len(words) < 3 || words[1] != "of" {
		return stat.Sample{}, fmt.Errorf("%q: write how many of how many, such as 3 of 40", text)
	}
	defects, err := countOf(words[0])
	if err != nil {
		return stat.Sample{}, err
	}
	parts, err := countOf(words[2])
	return stat.Sample{Name: strings.Join(words[3:], " "), Defects: defects, Parts: parts}, err
}
