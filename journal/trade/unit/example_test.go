package unit_test

import (
	"fmt"

	"fettlebook/journal/trade/unit"
)

func ExampleParse() {
	set, err := unit.Parse[unit.Torque]("80 lbf.ft")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(set)
	fmt.Println(unit.Format(set.In(unit.NewtonMetre), unit.NewtonMetre, 1))
	// Output:
	// 80 lbf.ft
	// 108.5 N·m
}

func ExampleError() {
	for _, typed := range []string{"27", "27,5 N.m", "27 °C"} {
		_, err := unit.Parse[unit.Torque](typed)
		fmt.Println(err)
	}
	// Output:
	// “27”: the unit is missing: write for example 27 N·m
	// “27,5 N.m”: write 27.5, not 27,5
	// “27 °C”: °C is a temperature; this field needs a torque, for example 27 N·m
}
