package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/stat"
)

type figureRate struct {
	Counts []string `arg:"" name:"k of n" help:"How many of how many parts, such as 3 of 40."`
	Level  entered  `default:"95 %" help:"The confidence of the interval." placeholder:"\"95 %\""`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// rateFigure is the JSON of a rate. Shares lie between 0 and 1.
type rateFigure struct {
	worksheet
	Defects    int     `json:"defects"`
	Parts      int     `json:"parts"`
	Rate       float64 `json:"rate"`
	Level      float64 `json:"level"`
	WilsonLow  float64 `json:"wilson_low"` // score interval
	WilsonHigh float64 `json:"wilson_high"`
	ExactLow   float64 `json:"exact_low"` // Clopper and Pearson's
	ExactHigh  float64 `json:"exact_high"`
	NoneHigh   float64 `json:"none_found_high,omitzero"` // one-sided, with 0 defects only
}

// Run prints the rate and its interval.
func (c *figureRate) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureRate) work() (*rateFigure, error) {
	f := &rateFigure{worksheet: worksheet{Figure: "rate"}}
	in := intake{worksheet: &f.worksheet}
	text := strings.Join(c.Counts, " ")
	in.typed("counts", text)
	sample, err := sampleOf(text)
	if err != nil {
		in.fail(err)
	}
	if f.Level = in.level("level", c.Level); in.err != nil {
		return nil, in.err
	}
	wilson, err := stat.Wilson(sample, f.Level)
	if err != nil {
		return nil, err
	}
	exact, err := stat.ClopperPearson(sample, f.Level, stat.BothSides)
	if err != nil {
		return nil, err
	}
	f.WilsonLow, f.WilsonHigh = wilson.Rate.Low, wilson.Rate.High
	f.ExactLow, f.ExactHigh = exact.Rate.Low, exact.Rate.High
	f.Defects, f.Parts, f.Rate = sample.Defects, sample.Parts, sample.Rate()
	f.Formula = []string{
		"(p + z²/2n ± z·√(p(1 − p)/n + z²/4n²))/(1 + z²/n), p = k/n; " + wilson.Source,
		"exact: the rates at which k or more, and k or fewer, have half of what the level leaves; " + exact.Source,
	}
	f.result("rate", "%s", percents(f.Rate))
	f.say(wilson)
	f.say(exact)
	f.Limits = []limit{{"confidence", percents(f.Level), "common practice, no source", "--level"}}
	f.Verdict = []string{wilson.Say()}
	if sample.Defects == 0 {
		none, err := stat.NoneFound(sample.Parts, f.Level)
		if err != nil {
			return nil, err
		}
		f.NoneHigh = none.Rate.High
		f.Formula = append(f.Formula, "none found: at most 1 − (1 − level)^(1/n), near 3/n at 95 %; "+none.Source)
		f.say(none)
		f.Verdict = []string{none.Say()}
	}
	return f, nil
}

func (f *rateFigure) say(p stat.Proportion) {
	f.result(p.Method, "%s to %s", percents(p.Rate.Low), percents(p.Rate.High))
	f.Warnings = append(f.Warnings, p.Guards...)
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

func percents(share float64) string { return digits(100*share) + " %" }
