package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/trade/unit"
)

type figureCompare struct {
	Groups  []string `arg:"" optional:"" name:"k of n against k of n" help:"Two groups, such as 2 of 40 with prebake against 9 of 35 without."`
	Strata  []string `name:"stratum" sep:"none" help:"Two groups within one kind of part, such as \"iron: 2 of 40 against 9 of 35\"; can be given again." placeholder:"NAME:GROUPS"`
	Factors []string `name:"factor" sep:"none" help:"One of many causes that were looked at, as two groups or as a p value: \"lot 7: 5 of 20 against 3 of 60\", \"lot 8: p 0.21\"; can be given again." placeholder:"NAME:GROUPS"`
	Tested  int      `help:"How many causes were looked at in all (default: those given)." placeholder:"N"`
	Finds   entered  `default:"5 %" help:"How many of the causes that stand out may be chance finds." placeholder:"\"5 %\""`
	Level   entered  `default:"95 %" help:"The confidence of the intervals." placeholder:"\"95 %\""`
	JSON    bool     `name:"json" help:"Print JSON."`
}

// Run prints the comparison.
func (c *figureCompare) Run(t *terminal) error { return t.figure("compare", c.JSON, c.work) }

func (c *figureCompare) work(in *intake) (s sheet.Sheet, err error) {
	if len(c.Groups)+len(c.Strata)+len(c.Factors) == 0 {
		return s, wrongUse("say what to compare: two groups such as 2 of 40 against 9 of 35, or --stratum, or --factor")
	}
	level := in.level("level", c.Level)
	s.Put("level", level)
	s.Limit("confidence", sheet.Words(sheet.Percent(level)), sheet.ShopDefault, "level")
	if len(c.Groups) > 0 {
		err = c.compare(in, &s, level)
	}
	if err == nil && len(c.Strata) > 0 {
		err = c.pool(in, &s, level)
	}
	if err == nil && len(c.Factors) > 0 {
		err = c.search(in, &s)
	}
	return s, err
}

// compare compares two groups.
func (c *figureCompare) compare(in *intake, s *sheet.Sheet, level float64) error {
	text := strings.Join(c.Groups, " ")
	in.typed("groups", text)
	groups, err := pairOf(text)
	if err != nil {
		return err
	}
	r, err := stat.Compare(groups, level)
	s.Under("groups", r.Sheet())
	return err
}

// pool compares two groups within strata.
func (c *figureCompare) pool(in *intake, s *sheet.Sheet, level float64) error {
	var strata []stat.Stratum
	for _, text := range c.Strata {
		name, groups, err := named(text)
		if err != nil {
			return err
		}
		in.typed(name, groups)
		pair, err := pairOf(groups)
		if err != nil {
			return err
		}
		strata = append(strata, stat.Stratum{Name: name, Pair: pair})
	}
	r, err := stat.MantelHaenszel(strata, level)
	s.Under("strata", r.Sheet())
	return err
}

// search looks which of many causes stands.
func (c *figureCompare) search(in *intake, s *sheet.Sheet) error {
	rate := in.level("chance finds", c.Finds)
	var causes []stat.Cause
	for _, text := range c.Factors {
		name, what, err := named(text)
		if err != nil {
			return err
		}
		in.typed(name, what)
		p, err := chanceOf(what)
		if err != nil {
			return fmt.Errorf("factor %s: %w", name, err)
		}
		causes = append(causes, stat.Cause{Name: name, P: p})
	}
	tested := c.Tested
	if tested == 0 {
		tested = len(causes)
	}
	r, err := stat.BenjaminiHochberg(causes, tested, rate)
	s.Under("causes", r.Sheet())
	return err
}

// named cuts "iron: 2 of 40 against 9 of 35" after its name.
func named(text string) (name, rest string, err error) {
	name, rest, found := strings.Cut(text, ":")
	name, rest = strings.TrimSpace(name), strings.TrimSpace(rest)
	if !found || name == "" {
		return "", "", fmt.Errorf("%q has no name: write it before a colon, such as iron: 2 of 40 against 9 of 35", text)
	}
	return name, rest, nil
}

func pairOf(text string) (stat.Pair, error) {
	first, second, found := strings.Cut(text, " against ")
	if !found {
		return stat.Pair{}, fmt.Errorf("%q is not two groups: write for example 2 of 40 against 9 of 35", text)
	}
	var p stat.Pair
	var err error
	if p.First, err = sampleOf(first); err != nil {
		return p, err
	}
	p.Second, err = sampleOf(second)
	return p, err
}

// chanceOf returns a factor's p value, as typed or by Fisher's exact test.
func chanceOf(text string) (float64, error) {
	if p, found := strings.CutPrefix(text, "p "); found {
		return unit.Number(p)
	}
	groups, err := pairOf(text)
	if err != nil {
		return 0, err
	}
	r, err := stat.FisherExact(groups)
	return r.TwoSided, err
}
