package stat_test

import (
	"fmt"

	"fettlebook/journal/trade/stat"
)

// sayer is any result of the package.
type sayer interface{ Say() string }

// say prints a result's sentence, or why there is none.
func say[T sayer](result T, err error) {
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(result.Say())
}

func ExampleNoneFound() {
	say(stat.NoneFound(10, 0.95))
	say(stat.NoneFound(100, 0.95))
	say(stat.NoneFound(0, 0.95))
	// Output:
	// 0 of 10: no more than 26 % with 95 % confidence, so this proves little
	// 0 of 100: no more than 3 % with 95 % confidence (rule of three: about 3 in 100)
	// 0 of 0: nothing was inspected, so there is no rate: count the parts first
}

func ExampleWilson() {
	say(stat.Wilson(stat.Sample{Name: "iron calipers", Defects: 3, Parts: 80}, 0.95))
	say(stat.ClopperPearson(stat.Sample{Defects: 19, Parts: 20}, 0.9, stat.LowerSide))
	say(stat.Wilson(stat.Sample{Defects: 12, Parts: 10}, 0.95))
	// Output:
	// 3 of 80 iron calipers (3.8 %): between 1.3 % and 10 % with 95 % confidence
	// 19 of 20: at least 82 % with 90 % confidence
	// 12 of 10: there cannot be more defects than parts: check both counts
}

func ExampleCompare() {
	say(stat.Compare(stat.Pair{
		First:  stat.Sample{Name: "with prebake", Defects: 2, Parts: 40},
		Second: stat.Sample{Name: "without", Defects: 9, Parts: 35},
	}, 0.95))
	say(stat.Compare(stat.Cells(1, 9, 2, 8), 0.95))
	say(stat.Compare(stat.Cells(0, 10, 0, 20), 0.95))
	// Output:
	// 2 of 40 with prebake against 9 of 35 without: 21 percentage points fewer in the first group, between -37 and -4.4 percentage points with 95 % confidence; a difference this large would seldom arise by chance (p = 0.019)
	// 1 of 10 against 2 of 10: 10 percentage points fewer in the first group, between -42 and +24 percentage points with 95 % confidence; p = 1: this does not show that they differ, nor that they are alike; so few parts cannot show an improvement: even if the first group never had the defect, that would show less often than four times in five
	// 0 of 10 against 0 of 20: no difference seen, between -16 and +28 percentage points with 95 % confidence; p = 1: this does not show that they differ, nor that they are alike; with 10 and 20 parts only a difference of about 38 percentage points or more would show (four times in five), such as 38 % in the first group against 0 %
}

func ExampleConditionalOddsRatio() {
	say(stat.ConditionalOddsRatio(stat.Cells(2, 38, 9, 26), 0.95))
	say(stat.ConditionalOddsRatio(stat.Cells(9, 26, 0, 40), 0.95))
	say(stat.RiskRatio(stat.Cells(2, 38, 9, 26), 0.95))
	say(stat.FisherExact(stat.Cells(2, 38, 9, 26)))
	say(stat.ChiSquared(stat.Cells(2, 38, 9, 26)))
	// Output:
	// 2 of 40 against 9 of 35: the odds of the defect are 0.156 times those of the second group, 0.0152 to 0.839 with 95 % confidence
	// 9 of 35 against 0 of 40: the odds of the defect are infinitely higher than those of the second group, 2.7 or more with 95 % confidence
	// 2 of 40 against 9 of 35: the rate is 0.194 times that of the second group, 0.045 to 0.84 with 95 % confidence
	// 2 of 40 against 9 of 35: if both groups had the same rate, a split as uneven as this would come by chance with p = 0.019
	// chi-squared 6.4 on one degree of freedom, p = 0.011
}

func ExampleMantelHaenszel() {
	say(stat.MantelHaenszel([]stat.Stratum{
		{Name: "iron", Pair: stat.Cells(18, 42, 6, 14)},
		{Name: "aluminium", Pair: stat.Cells(1, 19, 3, 57)},
	}, 0.95))
	say(stat.MantelHaenszel([]stat.Stratum{
		{Name: "iron", Pair: stat.Cells(18, 42, 6, 54)},
		{Name: "aluminium", Pair: stat.Cells(5, 55, 16, 44)},
	}, 0.95))
	// Output:
	// sorted into 2 strata the odds ratio is 1, 0.369 to 2.71 with 95 % confidence, p = 1; without sorting it is 2.46; with these parts only an odds ratio of about 4.16 or more, or 0.24 or less, would show (four times in five)
	// the strata disagree (p below 0.001): judge each separately; the odds ratios are iron 3.86 (1.41 to 10.6) and aluminium 0.25 (0.0849 to 0.736); pooled over 2 strata it is 1.05, 0.561 to 1.98 with 95 % confidence, p = 1, which hides that
}

func ExampleBenjaminiHochberg() {
	causes := []stat.Cause{{Name: "powder lot", P: 0.001}, {Name: "operator", P: 0.04}, {Name: "weekday", P: 0.3}}
	say(stat.BenjaminiHochberg(causes, 12, 0.05))
	say(stat.BenjaminiHochberg(causes[1:], 12, 0.05))
	// Output:
	// of 12 causes tested, 1 stands out: powder lot (adjusted p = 0.012); on average at most 5 % of finds made this way are false
	// of 12 causes tested none stands out: in so many tries chance alone gives p values as small as these
}

func ExampleSampleSize() {
	say(stat.SampleSize(0.10, 0.05, 0.05, 0.80))
	// Output:
	// to see a change from 10 % to 5 %: 435 parts in each group; fewer will miss it more often than 20 % of the time
}

func ExampleGChart() {
	chart, err := stat.GChart([]int{23, 41, 7, 30, 55, 12, 18, 64, 9, 26, 3, 1, 2}, 10, 11, 12)
	say(chart, err)
	for _, guard := range chart.Guards {
		fmt.Println(guard)
	}
	// Output:
	// g-chart of 13 points around 28.5: point 13: 3 gaps in a row of 3 good parts or fewer (by chance 0.21 % of the time). Look for a cause now
	// the limits rest on only 10 points and are provisional; 20 are usual
	// no gap is short enough for a lower alarm: a run of short gaps takes its place
}

func ExamplePChart() {
	chart, err := stat.PChart([]stat.Sample{
		{Name: "May", Defects: 1, Parts: 20}, {Name: "June", Defects: 2, Parts: 22}, {Name: "July", Defects: 9, Parts: 21},
	}, 2)
	say(chart, err)
	for _, guard := range chart.Guards {
		fmt.Println(guard)
	}
	say(stat.CChart([]int{16, 14, 28, 16}))
	// Output:
	// p-chart of 3 points around 7.1 %: July (43 %) lies above its upper limit 29 %
	// the limits rest on only 2 points and are provisional; 20 are usual
	// on 3 of 3 points fewer than 5 are expected: three-sigma limits would mislead, so exact binomial limits with the same chance stand in
	// c-chart of 4 points around 18.5: no point lies outside its limits; with 74 defects only a 2-fold change would show in a single point (four times in five)
}

func ExampleIndividualsChart() {
	say(stat.IndividualsChart([]float64{80, 84, 79, 85, 82, 81, 120}, 6))
	// Output:
	// individuals chart of 7 points around 81.8: point 7 (120) lies above its upper limit 91.9; moving range chart of 6 points around 3.8: the step from point 6 to 7 (39) lies above its upper limit 12.4
}

func ExampleNewCUSUM() {
	scheme, err := stat.NewCUSUM(0.02, 0.06, 2000)
	say(scheme, err)
	say(scheme.Watch(make([]bool, 61)))
	say(stat.CUSUM{Reference: 28, Alarm: 84, Usual: 0.02}.Watch([]bool{true, false, true, true, true}))
	say(stat.CUSUM{Reference: 4, Alarm: 6}.Watch([]bool{false, true, false, true, true}))
	// Output:
	// start at 0, add 26 for each part with the defect, take 1 away for each good one, never go below 0, and look for a cause at 79 or more
	// running sum over 61 parts: no alarm; 3.07 times the usual rate calls after about 101 parts on average
	// running sum over 5 parts: at part 5 the sum reached 107, the alarm is at 84. Look for a cause now; at the usual rate such an alarm comes once in about 1980 parts
	// running sum over 5 parts: at part 5 the sum reached 8, the alarm is at 6. Look for a cause now
}

func ExampleChooseChart() {
	say(stat.ChooseChart(stat.PartsJudged, 12))
	say(stat.ChooseChart(stat.PartsJudged, 2))
	say(stat.ChooseChart(stat.PartsJudged, 0.5))
	// Output:
	// at 12 defects a period there are enough to count: a p-chart fits
	// at 2 defects a period a p-chart works with exact limits; a longer period makes it sharper
	// at 0.5 defects a period most periods show none and a p-chart stays silent: chart the good parts between defects, or keep a running sum
}
