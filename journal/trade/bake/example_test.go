package bake_test

import (
	"fmt"
	"strings"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
)

func ExampleJudge() {
	var log strings.Builder
	log.WriteString("recorder at the bench oven\nmin;Probe 1 °C;Probe 2 °C\n")
	for minute := range 41 {
		part := bake.Heating{Tau: 11.5, Air: 200, Start: 20}
		fmt.Fprintf(&log, "%d;%.1f;200,0\n", minute, part.At(float64(minute)))
	}
	schedule, err := bake.ParseSchedule("20 min @ 180 °C, 10 min @ 200 °C")
	if err != nil {
		fmt.Println(err)
		return
	}
	trace, err := recorder.NewReader(strings.NewReader(log.String()), recorder.Format{})
	if err != nil {
		fmt.Println(err)
		return
	}
	result, err := bake.Judge(trace, schedule, bake.DefaultRules(), []bake.Probe{
		{Channel: "Probe 1", Place: "thick section by the pin bore", On: "left front caliper"},
		{Channel: "Probe 2", Place: "oven air"},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, sentence := range strings.SplitAfter(result.Verdict.Say, ". ") {
		fmt.Println(strings.TrimSpace(sentence))
	}
	// Output:
	// Schedule met 1.01 times, by the coldest probe that gave readings: Probe 1 (thick section by the pin bore).
	// Time counts from 180 °C; gaps do not count.
	// The lenient reading, from 170 °C, gives 1.20.
	// The metal there was at or above 180 °C for 14.7 min without a break; the sheet asks for 20 min.
}

func ExampleHeatUp_TimeToSchedule() {
	earlier := bake.Warmup{Name: "March", Minutes: []float64{0, 5, 10, 20, 30, 40}, Metal: []float64{21, 84, 125, 168, 187, 194}, Air: []float64{200}}
	heatUp, err := bake.LearnHeatUp(earlier)
	if err != nil {
		fmt.Println(err)
		return
	}
	schedule, err := bake.ParseSchedule("20 min @ 180 °C, 10 min @ 200 °C")
	if err != nil {
		fmt.Println(err)
		return
	}
	estimate, err := heatUp.TimeToSchedule(schedule, bake.DefaultRules(), 200, 20)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(estimate.Say)
	// Output:
	// Estimate, not a measurement: the schedule 20 min @ 180 °C, 10 min @ 200 °C is met after about 40 min in air of 200 °C, from one earlier run, which does not show how much runs differ.
}
