package card_test

import (
	"fmt"

	"fettlebook/journal/card"
)

func ExampleParse() {
	_, err := card.Parse(`
name: caliper
edition: 1
title: Calipers
stages:
  - name: unmask
    title: Plugs out
    level: part
    wants: [bore.unmasked]
    holds:
      - id: plugs-out
        title: Every plug came out
        class: safety
        rule: part.plugs.put_in == part.plugs.left_out
        reason: A plug that is left in a bore is a brake fault.
        limit: as many out as in
        source: "shop default"
`)
	fmt.Println(err)
	// Output: line 14, column 47: "left_out": the rule cannot be read: undefined field 'left_out'
}
