package stat_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fettlebook/journal/trade/stat"
)

func of(defects, parts int) stat.Sample { return stat.Sample{Defects: defects, Parts: parts} }

// second drops a result and keeps the error.
func second[T any](_ T, err error) error { return err }

func TestGuards(t *testing.T) {
	fair := stat.Cells(2, 38, 9, 26)
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		err   error
		rule  error
		value string // what the sentence must name
	}{
		{"more than all", second(stat.Wilson(of(12, 10), 0.95)), stat.ErrMoreThanAll, "12 of 10"},
		{"negative defects", second(stat.Wilson(of(-1, 10), 0.95)), stat.ErrNegative, "-1 of 10"},
		{"negative parts", second(stat.NoneFound(-3, 0.95)), stat.ErrNegative, "-3"},
		{"no parts", second(stat.ClopperPearson(of(0, 0), 0.95, stat.BothSides)), stat.ErrNothing, "0 of 0"},
		{"too many parts", second(stat.Wilson(of(1, stat.MaxCount+1), 0.95)), stat.ErrTooLarge, "10000001"},
		{"level 0", second(stat.Wilson(of(1, 10), 0)), stat.ErrLevel, "level 0"},
		{"level 1", second(stat.Wilson(of(1, 10), 1)), stat.ErrLevel, "level 1"},
		{"level 95", second(stat.NoneFound(10, 95)), stat.ErrLevel, "95"},
		{"no side", second(stat.ClopperPearson(of(1, 10), 0.95, 0)), stat.ErrSide, "side 0"},
		{"level NaN", second(stat.Wilson(of(1, 10), nan)), stat.ErrNotANumber, "NaN"},

		{"second group empty", second(stat.Difference(stat.Cells(1, 2, 0, 0), 0.95)), stat.ErrNothing, "0 of 0"},
		{"more than all in a pair", second(stat.RiskRatio(stat.Pair{First: of(3, 2), Second: of(1, 2)}, 0.95)), stat.ErrMoreThanAll, "3 of 2"},
		{"no defect in either", second(stat.OddsRatio(stat.Cells(0, 10, 0, 12), 0.95)), stat.ErrNoContrast, "0 of 10 against 0 of 12"},
		{"all defective", second(stat.RiskRatio(stat.Cells(10, 0, 12, 0), 0.95)), stat.ErrNoContrast, "10 of 10"},
		{"no parts to test", second(stat.FisherExact(stat.Cells(1, 0, 0, 0))), stat.ErrNothing, "0 of 0"},
		{"no parts to detect in", second(stat.Detect(stat.Cells(1, 0, 0, 0), 0.95)), stat.ErrNothing, "0 of 0"},
		{"level of what would show", second(stat.Detect(fair, 2)), stat.ErrLevel, "2"},
		{"no contrast", second(stat.ConditionalOddsRatio(stat.Cells(0, 10, 0, 12), 0.95)), stat.ErrNoContrast, "0 of 12"},
		{"no contrast in chi-squared", second(stat.ChiSquared(stat.Cells(0, 10, 0, 12))), stat.ErrNoContrast, "0 of 12"},
		{"level of a pair", second(stat.Compare(fair, 1.5)), stat.ErrLevel, "1.5"},
		{"level of an odds ratio", second(stat.ConditionalOddsRatio(fair, -1)), stat.ErrLevel, "-1"},

		{"no strata", second(stat.MantelHaenszel(nil, 0.95)), stat.ErrBothRequired, "0 strata"},
		{"useless strata", second(stat.MantelHaenszel([]stat.Stratum{{Pair: stat.Cells(0, 1, 0, 1)}}, 0.95)), stat.ErrBothRequired, "1 stratum"},
		{"bad stratum", second(stat.MantelHaenszel([]stat.Stratum{{Name: "iron", Pair: stat.Pair{First: of(2, 1)}}}, 0.95)), stat.ErrMoreThanAll, "iron"},
		{"level of strata", second(stat.MantelHaenszel([]stat.Stratum{{Pair: fair}}, nan)), stat.ErrNotANumber, "NaN"},

		{"no causes", second(stat.BenjaminiHochberg(nil, 3, 0.05)), stat.ErrTooFew, "no cause"},
		{"tested fewer than listed", second(stat.BenjaminiHochberg([]stat.Cause{{P: 0.1}, {P: 0.2}}, 1, 0.05)), stat.ErrTested, "1 tested, 2 listed"},
		{"p above 1", second(stat.BenjaminiHochberg([]stat.Cause{{Name: "lot", P: 1.2}}, 1, 0.05)), stat.ErrProbability, "lot"},
		{"p NaN", second(stat.BenjaminiHochberg([]stat.Cause{{Name: "lot", P: nan}}, 1, 0.05)), stat.ErrNotANumber, "lot"},
		{"rate 0", second(stat.BenjaminiHochberg([]stat.Cause{{P: 0.1}}, 1, 0)), stat.ErrProbability, "0"},

		{"same rates", second(stat.SampleSize(0.1, 0.1, 0.05, 0.8)), stat.ErrSame, "10 %"},
		{"rate above 1", second(stat.SampleSize(5, 10, 0.05, 0.8)), stat.ErrProbability, "5"},
		{"power NaN", second(stat.SampleSize(0.1, 0.2, 0.05, nan)), stat.ErrNotANumber, "power"},
		{"hair's breadth", second(stat.SampleSize(0.1, 0.1000001, 0.05, 0.8)), stat.ErrTooLarge, "parts needed"},

		{"one point", second(stat.CChart([]int{3})), stat.ErrTooFew, "1 point"},
		{"all left out", second(stat.CChart([]int{3, 4, 5}, 0, 1)), stat.ErrTooFew, "1 point"},
		{"left out beyond the end", second(stat.CChart([]int{3, 4}, 2)), stat.ErrNoPoint, "point 2 of 2"},
		{"left out before the start", second(stat.CChart([]int{3, 4}, -1)), stat.ErrNoPoint, "point -1"},
		{"negative count", second(stat.CChart([]int{3, -4})), stat.ErrNegative, "-4"},
		{"no defects in counts", second(stat.CChart([]int{0, 0})), stat.ErrNoDefects, "0 defects"},
		{"no defects in samples", second(stat.PChart([]stat.Sample{of(0, 5), of(0, 6)})), stat.ErrNoDefects, "0 of 11"},
		{"empty sample", second(stat.PChart([]stat.Sample{of(1, 5), of(0, 0)})), stat.ErrNothing, "0 of 0"},
		{"no units", second(stat.UChart([]stat.Inspection{{Defects: 1, Units: 1}, {Defects: 1}})), stat.ErrNothing, "units"},
		{"units NaN", second(stat.UChart([]stat.Inspection{{Defects: 1, Units: 1}, {Units: nan}})), stat.ErrNotANumber, "units"},
		{"no good part", second(stat.GChart([]int{0, 0, 0})), stat.ErrCommon, "no good part"},
		{"negative gap", second(stat.GChart([]int{4, -1})), stat.ErrNegative, "-1"},
		{"negative time", second(stat.TChart([]float64{4, -1})), stat.ErrNegative, "-1"},
		{"endless time", second(stat.TChart([]float64{4, inf})), stat.ErrNotANumber, "Inf"},
		{"reading NaN", second(stat.IndividualsChart([]float64{4, nan})), stat.ErrNotANumber, "reading 2"},
		{"flat readings", second(stat.IndividualsChart([]float64{4, 4, 4})), stat.ErrFlat, "3 readings"},
		{"no neighbours", second(stat.IndividualsChart([]float64{4, 5, 6}, 1)), stat.ErrTooFew, "side by side"},

		{"unordered rates", second(stat.ReferenceValue(0.05, 0.05)), stat.ErrOrder, "5 %"},
		{"exchanged rates", second(stat.NewCUSUM(0.06, 0.02, 500)), stat.ErrOrder, "6 %"},
		{"usual rate 0", second(stat.NewCUSUM(0, 0.02, 500)), stat.ErrProbability, "usual rate 0"},
		{"common defect", second(stat.NewCUSUM(0.6, 0.8, 500)), stat.ErrCommon, "one defect in 1"},
		{"rate too rare for a sum", second(stat.NewCUSUM(0.0001, 0.0002, 500)), stat.ErrTooLarge, "one defect in"},
		{"alarm out of reach", second(stat.NewCUSUM(0.00499, 0.00501, stat.MaxCount)), stat.ErrTooLarge, "10000000 parts"},
		{"zero scheme", second(stat.CUSUM{}.PartsToSignal(0.1)), stat.ErrCommon, "one defect in 0"},
		{"no alarm", second(stat.CUSUM{Reference: 10}.Watch([]bool{true})), stat.ErrTooFew, "alarm at 0"},
		{"no parts to watch", second(stat.CUSUM{Reference: 10, Alarm: 20}.Watch(nil)), stat.ErrNothing, "0 parts"},
		{"usual above balance", second(stat.CUSUM{Reference: 10, Alarm: 20}.WorseRate(0.1)), stat.ErrOrder, "10 %"},

		{"nothing watched", second(stat.ChooseChart(0, 3)), stat.ErrWatched, "0"},
		{"rate NaN", second(stat.ChooseChart(stat.PartsJudged, nan)), stat.ErrNotANumber, "NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var refused *stat.Error
			if !errors.As(c.err, &refused) || !errors.Is(c.err, c.rule) {
				t.Fatalf("error is %v, want a *stat.Error for %q", c.err, c.rule)
			}
			if !strings.Contains(c.err.Error(), c.value) || !strings.Contains(c.err.Error(), c.rule.Error()) {
				t.Errorf("%q names neither %q nor the rule", c.err, c.value)
			}
		})
	}
}
