package write

import (
	"fmt"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/words"
)

// unread says which conditions of an investigation nobody could ask the parts
// table again.
func unread(p journal.Payload) form.Problems {
	i, ok := p.(*journal.Investigation)
	if !ok {
		return nil
	}
	wrong := form.Problems{}
	note := func(field string, row int, condition string) {
		if _, err := parts.ParseFilter(condition); err != nil && condition != "" && wrong[field] == "" {
			wrong[field] = words.Sentence(fmt.Sprintf("Row %d: %v", row+1, err))
		}
	}
	for row, condition := range i.Filter {
		note("filter", row, condition)
	}
	for row, c := range i.Counted {
		note("counted", row, c.With)
	}
	return wrong
}
