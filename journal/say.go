package journal

import (
	"fmt"
	"strconv"

	"fettlebook/journal/words"
)

// items writes counted small things: "2 pin bores" is kept as "pin bores ×2".
func items(list []Item) string {
	var said []string
	for _, i := range list {
		said = append(said, i.What+words.If(i.Count != 1, " ×"+strconv.Itoa(i.Count)))
	}
	return words.Commas(said...)
}

// hung counts the parts of a run.
func (r Rack) hung() string { return words.If(len(r.Parts) > 0, words.Count(len(r.Parts), "part")) }

// seconds writes milliseconds: "-0.045 s".
func seconds(ms int64) string {
	sign, size := "", uint64(ms)
	if ms < 0 {
		sign, size = "-", -size
	}
	return fmt.Sprintf("%s%d.%03d s", sign, size/1000, size%1000)
}
