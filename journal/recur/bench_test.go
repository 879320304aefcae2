package recur_test

import (
	"fmt"
	"testing"

	"fettlebook/journal/invented"
	"fettlebook/journal/recur"
)

func BenchmarkStudy(b *testing.B) {
	for _, parts := range []int{300, 1000, 5000, 40000} {
		b.Run(fmt.Sprint(parts), func(b *testing.B) {
			table := invented.Make(invented.Setting{Seed: 1, Parts: parts, Days: max(365, parts/4), Cause: invented.OneLot, Mixed: true}).Table()
			for b.Loop() {
				if _, err := recur.Of(table, recur.Question{Defect: "pinhole"}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
