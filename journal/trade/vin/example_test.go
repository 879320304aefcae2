package vin_test

import (
	"fmt"

	"fettlebook/journal/trade/vin"
)

func ExampleCheck() {
	// An S was read where the plate shows a 5.
	result := vin.Check("00fah59h3 sg 118341")
	fmt.Println(result.Note)
	for _, s := range result.Suggestions {
		fmt.Println(s.VIN, s)
	}
	// Output:
	// position 9 is 3, but the other characters give 9: compare every character with the plate, unless the vehicle was not built for North America
	// 00FAH59H35G118341 position 10: 5 instead of S
}
