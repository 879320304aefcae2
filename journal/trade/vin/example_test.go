package vin_test

import (
	"fmt"

	"fettlebook/journal/trade/vin"
)

func ExampleCheck() {
	// An S was read where the plate shows a 5.
	result := vin.Check("1g4ah59h4 sg 118341")
	fmt.Println(result.Note)
	for _, s := range result.Suggestions {
		fmt.Println(s.VIN, s)
	}
	// Output:
	// position 9 is 4, but the other characters give X: compare every character with the plate, unless the vehicle was not built for North America
	// 1G4AH59H45G118341 position 10: 5 instead of S
}
