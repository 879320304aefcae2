package stat_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/journal/trade/stat"
)

// read returns a published case with its citation.
func read[T any](t *testing.T, name string) T {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "..", "testdata", "published", "stat", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var published T
	decoder := json.NewDecoder(file)
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&published); err != nil {
		t.Fatalf("read %s: %v", name, err)
	}
	return published
}

// near compares with a printed figure: want within half a unit of its last decimal.
func near(t *testing.T, what string, got, want float64, decimals int) {
	t.Helper()
	if slack := 0.5000001 * math.Pow10(-decimals); !(math.Abs(got-want) <= slack) {
		t.Errorf("%s = %.10g, want %.*f", what, got, decimals, want)
	}
}

func ok[T any](t *testing.T) func(T, error) T {
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func pairOf(cells [4]int) stat.Pair { return stat.Cells(cells[0], cells[1], cells[2], cells[3]) }

// fromOne counts points as the handbook does.
func fromOne(points []int) []int {
	var counted []int
	for _, point := range points {
		counted = append(counted, point+1)
	}
	return counted
}

func TestNewcombeOneSample(t *testing.T) {
	published := read[struct {
		Citation string
		Level    float64
		Decimals int
		Cases    []struct {
			Defects, Parts int
			Wilson, Exact  [2]float64
		}
	}](t, "newcombe-1998-one-sample.json")
	for _, c := range published.Cases {
		s := stat.Sample{Defects: c.Defects, Parts: c.Parts}
		t.Run(s.String(), func(t *testing.T) {
			for _, method := range []struct {
				result stat.Proportion
				want   [2]float64
			}{
				{ok[stat.Proportion](t)(stat.Wilson(s, published.Level)), c.Wilson},
				{ok[stat.Proportion](t)(stat.ClopperPearson(s, published.Level, stat.BothSides)), c.Exact},
			} {
				near(t, method.result.Method+" low", method.result.Rate.Low, method.want[0], published.Decimals)
				near(t, method.result.Method+" high", method.result.Rate.High, method.want[1], published.Decimals)
			}
		})
	}
}

func TestNewcombeTwoSamples(t *testing.T) {
	published := read[struct {
		Citation string
		Level    float64
		Decimals int
		Cases    []struct {
			First, Second [2]int
			Interval      [2]float64
		}
	}](t, "newcombe-1998-two-samples.json")
	for _, c := range published.Cases {
		p := stat.Pair{
			First:  stat.Sample{Defects: c.First[0], Parts: c.First[1]},
			Second: stat.Sample{Defects: c.Second[0], Parts: c.Second[1]},
		}
		t.Run(p.String(), func(t *testing.T) {
			d := ok[stat.Effect](t)(stat.Difference(p, published.Level))
			near(t, "low", d.Size.Low, c.Interval[0], published.Decimals)
			near(t, "high", d.Size.High, c.Interval[1], published.Decimals)
		})
	}
}

func TestHandbookExactInterval(t *testing.T) {
	published := read[struct {
		Citation       string
		Level          float64
		Defects, Parts int
		Interval       [2]float64
	}](t, "nist-exact-interval.json")
	s := stat.Sample{Defects: published.Defects, Parts: published.Parts}
	p := ok[stat.Proportion](t)(stat.ClopperPearson(s, published.Level, stat.BothSides))
	near(t, "low", p.Rate.Low, published.Interval[0], 6)
	near(t, "high", p.Rate.High, published.Interval[1], 6)
}

func TestTeaTasting(t *testing.T) {
	published := read[struct {
		Citation string
		Cases    []struct {
			Name      string
			Table     [4]int
			Greater   float64
			TwoSided  float64    `json:"two_sided"`
			OddsRatio float64    `json:"odds_ratio"`
			Interval  [2]float64 `json:"interval"`
		}
	}](t, "fisher-tea.json")
	for _, c := range published.Cases {
		t.Run(c.Name, func(t *testing.T) {
			test := ok[stat.Fisher](t)(stat.FisherExact(pairOf(c.Table)))
			near(t, "one-sided p", test.Greater, c.Greater, 6)
			near(t, "two-sided p", test.TwoSided, c.TwoSided, 6)
			if c.OddsRatio == 0 {
				return
			}
			odds := ok[stat.Effect](t)(stat.ConditionalOddsRatio(pairOf(c.Table), 0.95)).Size
			near(t, "odds ratio", odds.Value, c.OddsRatio, 4)
			near(t, "low", odds.Low, c.Interval[0], 4)
			near(t, "high", odds.High, c.Interval[1], 2)
		})
	}
}

func TestAspirin(t *testing.T) {
	type ratio struct {
		Value, Low, High float64
		StandardError    float64 `json:"standard_error"`
	}
	published := read[struct {
		Citation   string
		Table      [4]int
		OddsRatio  ratio `json:"odds_ratio"`
		RiskRatio  ratio `json:"risk_ratio"`
		Difference float64
		ChiSquared float64 `json:"chi_squared"`
	}](t, "agresti-aspirin.json")
	got := ok[stat.Comparison](t)(stat.Compare(pairOf(published.Table), 0.95))
	for _, c := range []struct {
		got  stat.Effect
		want ratio
	}{{got.OddsRatio, published.OddsRatio}, {got.RiskRatio, published.RiskRatio}} {
		what := string(c.got.Measure)
		near(t, what, c.got.Size.Value, c.want.Value, 4)
		near(t, what+" low", c.got.Size.Low, c.want.Low, 4)
		near(t, what+" high", c.got.Size.High, c.want.High, 4)
		near(t, what+" standard error", c.got.StandardError, c.want.StandardError, 4)
	}
	near(t, "difference", got.Difference.Size.Value, published.Difference, 6)
	near(t, "chi-squared", got.ChiSquared.Statistic, published.ChiSquared, 4)
}

func TestBerkeleyAdmissions(t *testing.T) {
	published := read[struct {
		Citation    string
		Level       float64
		Departments []struct {
			Name      string
			Table     [4]int
			OddsRatio float64 `json:"odds_ratio"`
		}
		Crude      float64
		Pooled     [3]float64
		ChiSquared float64 `json:"chi_squared"`
		P          float64
		Agreement  float64
		AgreementP float64 `json:"agreement_p"`
	}](t, "berkeley-admissions.json")
	var strata []stat.Stratum
	for _, d := range published.Departments {
		strata = append(strata, stat.Stratum{Name: d.Name, Pair: pairOf(d.Table)})
		own := ok[stat.Effect](t)(stat.OddsRatio(pairOf(d.Table), published.Level))
		near(t, "department "+d.Name, own.Size.Value, d.OddsRatio, 4)
	}
	pooled := ok[stat.Pooled](t)(stat.MantelHaenszel(strata, published.Level))
	near(t, "crude", pooled.Crude.Value, published.Crude, 4)
	near(t, "pooled", pooled.OddsRatio.Value, published.Pooled[0], 4)
	near(t, "pooled low", pooled.OddsRatio.Low, published.Pooled[1], 4)
	near(t, "pooled high", pooled.OddsRatio.High, published.Pooled[2], 4)
	near(t, "chi-squared", pooled.Test.Statistic, published.ChiSquared, 4)
	near(t, "p", pooled.Test.P, published.P, 4)
	near(t, "agreement", pooled.Agreement.Statistic, published.Agreement, 4)
	near(t, "p of agreement", pooled.Agreement.P, published.AgreementP, 6)
	if pooled.Agreement.Freedom != 5 || !pooled.Disagree() {
		t.Errorf("agreement is %+v, want the departments to disagree", pooled.Agreement)
	}
}

func TestOesophagealCancer(t *testing.T) {
	published := read[struct {
		Citation string
		Level    float64
		Ages     []struct {
			Name  string
			Table [4]int
		}
		Pooled, Uncorrected, Corrected, P float64
	}](t, "breslow-day-1980.json")
	var strata []stat.Stratum
	for _, age := range published.Ages {
		strata = append(strata, stat.Stratum{Name: age.Name, Pair: pairOf(age.Table)})
	}
	pooled := ok[stat.Pooled](t)(stat.MantelHaenszel(strata, published.Level))
	near(t, "pooled", pooled.OddsRatio.Value, published.Pooled, 3)
	near(t, "agreement", pooled.Agreement.Statistic, published.Corrected, 6)
	near(t, "p of agreement", pooled.Agreement.P, published.P, 6)
	if less := published.Uncorrected - pooled.Agreement.Statistic; less < 0 || less > 0.05 {
		t.Errorf("Tarone's correction takes %v, want a little", less)
	}
	if pooled.Disagree() || len(pooled.Guards) != 1 {
		t.Errorf("disagree %v with guards %q, want neither, but a word on the small cells", pooled.Disagree(), pooled.Guards)
	}
}

func TestBenjaminiHochberg1995(t *testing.T) {
	published := read[struct {
		Citation   string
		Rate       float64
		P          []float64
		Rejected   int
		Thresholds []float64
		Adjusted   []float64
	}](t, "benjamini-hochberg-1995.json")
	var causes []stat.Cause
	for _, p := range published.P {
		causes = append(causes, stat.Cause{P: p})
	}
	slices.Reverse(causes) // the order given must not matter
	search := ok[stat.Search](t)(stat.BenjaminiHochberg(causes, len(causes), published.Rate))
	if got := len(search.Kept()); got != published.Rejected {
		t.Errorf("%d rejected, want %d", got, published.Rejected)
	}
	for i, finding := range search.Findings {
		near(t, "adjusted p", finding.Adjusted, published.Adjusted[i], 6)
		if i < len(published.Thresholds) {
			near(t, "threshold", finding.Threshold, published.Thresholds[i], 6)
		}
	}
}

func TestHandbookCChart(t *testing.T) {
	published := read[struct {
		Citation   string
		Counts     []int
		Centre     float64
		Limits     [2]float64
		Out        []int
		OnTheLimit []int `json:"on_the_limit"`
	}](t, "nist-c-chart.json")
	chart := ok[stat.Chart](t)(stat.CChart(published.Counts))
	near(t, "centre", chart.Centre, published.Centre, 9)
	near(t, "low", chart.Points[0].Low, published.Limits[0], 9)
	near(t, "high", chart.Points[0].High, published.Limits[1], 9)
	if got := fromOne(chart.Out()); !slices.Equal(got, published.Out) {
		t.Errorf("out: %v, want %v", got, published.Out)
	}
	for _, i := range published.OnTheLimit {
		if point := chart.Points[i-1]; point.Value != point.High {
			t.Errorf("point %d is %v, want it on the limit %v", i, point.Value, point.High)
		}
	}
}

func TestHandbookPChart(t *testing.T) {
	type limits struct {
		LeftOut []int `json:"left_out"`
		Centre  float64
		Limits  [2]float64
		Out     []int
	}
	published := read[struct {
		Citation string
		Parts    int
		Defects  []int
		Centre   float64
		Limits   [2]float64
		Out      []int
		Revised  limits
	}](t, "nist-p-chart.json")
	var samples []stat.Sample
	for _, defects := range published.Defects {
		samples = append(samples, stat.Sample{Defects: defects, Parts: published.Parts})
	}
	first := limits{Centre: published.Centre, Limits: published.Limits, Out: published.Out}
	for _, c := range []struct {
		want     limits
		decimals int
	}{{first, 6}, {published.Revised, 4}} {
		var leaveOut []int
		for _, i := range c.want.LeftOut {
			leaveOut = append(leaveOut, i-1)
		}
		chart := ok[stat.Chart](t)(stat.PChart(samples, leaveOut...))
		near(t, "centre", chart.Centre, c.want.Centre, c.decimals)
		near(t, "low", chart.Points[0].Low, c.want.Limits[0], c.decimals)
		near(t, "high", chart.Points[0].High, c.want.Limits[1], c.decimals)
		if got := fromOne(chart.Out()); !slices.Equal(got, c.want.Out) {
			t.Errorf("out: %v, want %v", got, c.want.Out)
		}
	}
}

func TestHandbookIndividualsChart(t *testing.T) {
	published := read[struct {
		Citation          string
		Readings          []float64
		Centre            float64
		Limits            [2]float64
		MeanRange         float64 `json:"mean_range"`
		RangeLimit        float64 `json:"range_limit"`
		RangeLimitPrinted float64 `json:"range_limit_printed"`
	}](t, "nist-individuals-chart.json")
	got := ok[stat.Readings](t)(stat.IndividualsChart(published.Readings))
	near(t, "centre", got.Individuals.Centre, published.Centre, 2)
	near(t, "low", got.Individuals.Points[0].Low, published.Limits[0], 4)
	near(t, "high", got.Individuals.Points[0].High, published.Limits[1], 4)
	near(t, "mean range", got.MovingRanges.Centre, published.MeanRange, 4)
	near(t, "range limit", got.MovingRanges.Points[0].High, published.RangeLimit, 4)
	near(t, "range limit as printed", got.MovingRanges.Points[0].High, published.RangeLimitPrinted, 3)
	if out := got.Individuals.Out(); out != nil {
		t.Errorf("out: %v, want none", out)
	}
}
