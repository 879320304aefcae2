package film_test

import (
	"fmt"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

func ExampleJudge() {
	var low, high, base unit.Length
	readings := make([]unit.Length, 3)
	for text, q := range map[string]*unit.Length{
		"60 µm": &low, "100 µm": &high, "8 µm": &base,
		"58 µm": &readings[0], "52 µm": &readings[1], "55 µm": &readings[2],
	} {
		if err := q.UnmarshalText([]byte(text)); err != nil {
			fmt.Println(err)
			return
		}
	}
	result, err := film.Judge(
		film.Survey{Base: base, Spots: []film.Spot{{Place: "recess", Readings: readings}}},
		film.Spec{Low: low, High: high, Source: "data sheet"}, film.Level5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(result.Say())
	// Output:
	// PA 2 style, 1 spot per part, level 5: fails: spot recess, 47.0 µm, is below 48.0 µm, 80 % of the least; the mean of all spots, 47.0 µm, is below 60.0 µm, the least
}
