package recur

import (
	"fmt"
	"slices"
	"sync"

	"fettlebook/journal/parts"
)

// Kept makes studies and keeps the last ones, for a process that is asked the
// same again and again: a table is never changed, so a study of it stays true.
// The zero value is ready, and may be asked by several at a time.
type Kept struct {
	mu    sync.Mutex
	table *parts.Table // of which all of them are
	list  []kept       // the one that was asked for last comes last
}

type kept struct {
	question string
	study    *Study
}

// mostKept is how many studies of a table are kept.
const mostKept = 16

// Of returns a study as [Of] makes it. It must not be changed.
func (k *Kept) Of(t *parts.Table, q Question) (*Study, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.table != t {
		k.table, k.list = t, nil
	}
	question := q.key()
	if i := slices.IndexFunc(k.list, func(one kept) bool { return one.question == question }); i >= 0 {
		one := k.list[i]
		k.list = append(slices.Delete(k.list, i, i+1), one)
		return one.study, nil
	}
	s, err := Of(t, q)
	if err != nil {
		return nil, err
	}
	if len(k.list) == mostKept {
		k.list = slices.Delete(k.list, 0, 1)
	}
	k.list = append(k.list, kept{question, s})
	return s, nil
}

// key tells questions apart.
func (q Question) key() string {
	var conditions []string
	for _, c := range q.Filter {
		conditions = append(conditions, c.String())
	}
	return fmt.Sprintf("%q %t %q", q.Defect, q.People, conditions)
}
