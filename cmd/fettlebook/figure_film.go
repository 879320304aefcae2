package main

import (
	"errors"
	"fmt"
	"strings"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

type figureFilm struct {
	Spots   []string   `arg:"" name:"spot" help:"A spot and its readings, such as \"flat: 82 µm 79 µm 84 µm\"."`
	Low     entered    `help:"The least thickness specified (default: 60 µm, common practice)." placeholder:"\"60 µm\""`
	High    entered    `help:"The greatest thickness specified (default: 100 µm, common practice)." placeholder:"\"100 µm\""`
	Source  string     `help:"Where the specification is printed." placeholder:"\"data sheet\""`
	Level   film.Level `help:"The restriction level of SSPC-PA 2, 1 to 5 (default: 3)." placeholder:"3"`
	Base    entered    `help:"The mean reading on the bare blasted metal, subtracted from each reading." placeholder:"\"8 µm\""`
	Nominal entered    `help:"Judge by the 80/20 rule of ISO 19840 against this thickness." placeholder:"\"80 µm\""`
	Most    entered    `default:"3" help:"How many times the nominal thickness a reading may reach; 0 sets no limit." placeholder:"3"`
	JSON    bool       `name:"json" help:"Print JSON."`
}

type (
	// filmFigure is the JSON of a film's thickness. Spots and Nominal are there when
	// they were asked for: without a nominal thickness, or with a low and a high one, the
	// spots are judged.
	filmFigure struct {
		worksheet
		BaseUM  float64      `json:"base_um"`
		Range   *filmRange   `json:"range,omitzero"`
		Nominal *filmNominal `json:"nominal,omitzero"`
	}

	// filmRange is the verdict on spots at a restriction level.
	filmRange struct {
		LowUM        float64    `json:"low_um"`
		HighUM       float64    `json:"high_um,omitzero"`
		Source       string     `json:"source"`
		Level        int        `json:"level"`
		LevelAssumed bool       `json:"level_assumed"`
		Spots        []filmSpot `json:"spots"`
		Readings     int        `json:"readings"`
		MeanUM       float64    `json:"mean_um"` // of the spots' means
		MinUM        float64    `json:"min_um"`  // of all readings
		MaxUM        float64    `json:"max_um"`
		Broken       []string   `json:"broken"` // one clause each
		Pass         bool       `json:"pass"`
	}

	// filmSpot is one spot after the base reading was subtracted.
	filmSpot struct {
		Place      string    `json:"place"`
		ReadingsUM []float64 `json:"readings_um"`
		MeanUM     float64   `json:"mean_um"`
		MinUM      float64   `json:"min_um"`
		MaxUM      float64   `json:"max_um"`
	}

	// filmNominal is the verdict by the 80/20 rule on all readings.
	filmNominal struct {
		NominalUM float64  `json:"nominal_um"`
		LeastUM   float64  `json:"least_um"`         // 80 % of it
		MostUM    float64  `json:"most_um,omitzero"` // without a limit it is left out
		Readings  int      `json:"readings"`
		MeanUM    float64  `json:"mean_um"`
		MinUM     float64  `json:"min_um"`
		MaxUM     float64  `json:"max_um"`
		Between   int      `json:"between"`       // readings from 80 % up to below the nominal
		Share     float64  `json:"between_share"` // of all readings
		Broken    []string `json:"broken"`
		Pass      bool     `json:"pass"`
	}
)

// Run prints the verdict on a film.
func (c *figureFilm) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureFilm) work() (*filmFigure, error) {
	f := &filmFigure{worksheet: worksheet{Figure: "film"}}
	in := intake{worksheet: &f.worksheet}
	var survey film.Survey
	var all []unit.Length
	for _, text := range c.Spots {
		spot := in.spot(text)
		survey.Spots = append(survey.Spots, spot)
		all = append(all, spot.Readings...)
	}
	survey.Base = quantity(&in, "base", c.Base, unit.Micrometre, 1)
	spec := film.Spec{Low: quantity(&in, "low", c.Low, unit.Micrometre, 1), High: quantity(&in, "high", c.High, unit.Micrometre, 1), Source: c.Source}
	nominal := film.Nominal{Thickness: quantity(&in, "nominal", c.Nominal, unit.Micrometre, 1)}
	if !nominal.Thickness.IsZero() {
		nominal.Most = in.number("most", c.Most)
	}
	if in.err != nil {
		return nil, in.err
	}
	if !survey.Base.IsZero() {
		f.BaseUM = survey.Base.In(unit.Micrometre)
	}
	none := spec.Low.IsZero() && spec.High.IsZero()
	if !none || nominal.Thickness.IsZero() {
		if err := f.judgeSpots(survey, spec, c.Level, none); err != nil {
			return nil, err
		}
	}
	if !nominal.Thickness.IsZero() {
		if err := f.judgeNominal(all, survey.Base, nominal); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// spot reads a place and its readings.
func (in *intake) spot(text string) film.Spot {
	var s film.Spot
	place, readings, named := strings.Cut(text, ":")
	if !named {
		place, readings = "", text
	}
	s.Place = strings.TrimSpace(place)
	for _, one := range eachReading(readings) {
		q, err := unit.Parse[unit.Length](one)
		if err != nil {
			in.fail(fmt.Errorf("spot %q, reading %w", s.Place, err))
		}
		s.Readings = append(s.Readings, q)
	}
	in.typed("spot "+s.Place, strings.TrimSpace(readings))
	return s
}

// eachReading cuts "82 µm 79µm, 84 µm" into its readings: each ends with its unit, and a
// comma or semicolon may stand after it.
func eachReading(text string) (each []string) {
	held := ""
	for _, word := range strings.Fields(text) {
		bare := strings.TrimRight(word, ",;")
		if strings.Trim(bare, "+-−.,0123456789") == "" && held == "" {
			held = word
			continue
		}
		each = append(each, strings.TrimSpace(held+" "+bare))
		held = ""
	}
	if held != "" {
		each = append(each, held)
	}
	return each
}

func (f *filmFigure) judgeSpots(survey film.Survey, spec film.Spec, level film.Level, usual bool) error {
	change := ""
	if usual {
		var err error
		source := spec.Source
		if spec, err = film.DefaultSpec(); err != nil {
			return err
		}
		change = "--low and --high"
		if source != "" {
			return errors.New("--source " + source + ": a source without figures says nothing: write the least and the greatest thickness that it gives")
		}
	}
	r, err := film.Judge(survey, spec, level)
	if err != nil {
		return err
	}
	f.Formula = append(f.Formula, "film = reading − base; spot = mean of at least 3 readings; mean = mean of the spots")
	g := &filmRange{
		LowUM: spec.Low.In(unit.Micrometre), Source: spec.Source, Level: int(r.Level), LevelAssumed: r.Assumed,
		Readings: r.Readings, MeanUM: r.Area, MinUM: r.Min, MaxUM: r.Max, Pass: r.Pass,
	}
	f.Range = g
	asked := "at least " + spec.Low.String()
	if !spec.High.IsZero() {
		g.HighUM = spec.High.In(unit.Micrometre)
		asked = spec.Low.String() + " to " + spec.High.String()
	}
	for _, s := range r.Spots {
		g.Spots = append(g.Spots, filmSpot{s.Place, s.Readings, s.Mean, s.Min, s.Max})
		f.result("spot "+s.Place, "mean %s, %.1f to %.1f", micrometres(s.Mean), s.Min, s.Max)
	}
	f.result("mean of all spots", "%s, readings %.1f to %.1f", micrometres(r.Area), r.Min, r.Max)
	for _, v := range r.Broken {
		g.Broken = append(g.Broken, r.Describe(v))
	}
	source := spec.Source
	if source == "" {
		source = "no source was named"
	}
	f.Limits = append(f.Limits, limit{"specified", asked, source, change})
	bands, err := bandsOf(spec, r.Level)
	if err != nil {
		return err
	}
	f.Limits = append(f.Limits, bands...)
	f.Warnings = append(f.Warnings, r.Warnings...)
	f.Verdict = append(f.Verdict, r.Say())
	return nil
}

// bandsOf returns what a level allows. They are the limits that films far outside break.
func bandsOf(spec film.Spec, level film.Level) (limits []limit, err error) {
	least, most := map[string]float64{}, map[string]float64{}
	source := ""
	for _, text := range []string{"0 µm", "1000000 µm"} {
		far, err := unit.Parse[unit.Length](text)
		if err != nil {
			return nil, err
		}
		r, err := film.Judge(film.Survey{Spots: []film.Spot{{Readings: []unit.Length{far, far, far}}}}, spec, level)
		if err != nil {
			return nil, err
		}
		source = fmt.Sprintf("level %d; %s", r.Level, r.Source)
		for _, v := range r.Broken {
			if v.Over {
				most[v.Clause] = v.Limit
			} else {
				least[v.Clause] = v.Limit
			}
		}
	}
	for _, clause := range []struct{ word, name string }{{"reading", "each reading"}, {"spot", "each spot"}, {"area", "mean of all spots"}} {
		from, bounded := least[clause.word]
		to, topped := most[clause.word]
		ends := "at least " + micrometres(from)
		if topped {
			ends = fmt.Sprintf("%.1f to %s", from, micrometres(to))
		}
		if bounded {
			limits = append(limits, limit{clause.name, ends, source, "--level"})
		}
	}
	return limits, nil
}

func (f *filmFigure) judgeNominal(readings []unit.Length, base unit.Length, nominal film.Nominal) error {
	r, err := film.JudgeNominal(readings, base, nominal)
	if err != nil {
		return err
	}
	f.Formula = append(f.Formula, "80/20: the mean reaches the nominal, no reading lies below 80 % of it, and at most 20 % of them lie between")
	f.Nominal = &filmNominal{
		NominalUM: nominal.Thickness.In(unit.Micrometre), LeastUM: r.Least, MostUM: r.Most, Readings: r.Readings,
		MeanUM: r.Mean, MinUM: r.Min, MaxUM: r.Max, Between: r.Between, Share: r.Portion, Broken: r.Broken, Pass: r.Pass,
	}
	f.result("mean of all readings", "%s, %.1f to %.1f", micrometres(r.Mean), r.Min, r.Max)
	f.result("below the nominal", "%d of %d, %s", r.Between, r.Readings, percents(r.Portion))
	f.Limits = append(f.Limits,
		limit{"mean of all readings", "at least " + nominal.Thickness.String(), r.Source, "--nominal"},
		limit{"each reading", "at least " + micrometres(r.Least), "80 % of the nominal; " + r.Source, ""},
		limit{"readings below the nominal", "at most 20 %", r.Source, ""})
	if r.Most > 0 {
		f.Limits = append(f.Limits, limit{"each reading", "at most " + micrometres(r.Most), "ISO 12944-5, from memory", "--most"})
	}
	f.Warnings = append(f.Warnings, r.Warnings...)
	f.Verdict = append(f.Verdict, r.Say())
	return nil
}

func micrometres(v float64) string { return unit.Format(v, unit.Micrometre, 1) }
