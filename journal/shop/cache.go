package shop

import (
	"container/list"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// The most that is kept for the next reader.
const (
	mostLines = 8_000   // of all cases together
	mostBytes = 6 << 20 // of decoded entries, as they lie in the log
)

// recent keeps what was used last, up to a weight.
type recent[K comparable, V any] struct {
	most, weighs int
	order        *list.List // the newest first
	at           map[K]*list.Element
	gone         func(K, V) // told of what is dropped; nil if nobody is
}

type kept[K comparable, V any] struct {
	key    K
	value  V
	weight int
}

func newRecent[K comparable, V any](most int, gone func(K, V)) *recent[K, V] {
	return &recent[K, V]{most: most, order: list.New(), at: make(map[K]*list.Element), gone: gone}
}

func (r *recent[K, V]) get(key K) (value V, ok bool) {
	e := r.at[key]
	if e == nil {
		return value, false
	}
	r.order.MoveToFront(e)
	return e.Value.(kept[K, V]).value, true
}

func (r *recent[K, V]) put(key K, value V, weight int) {
	r.drop(key)
	r.at[key] = r.order.PushFront(kept[K, V]{key, value, weight})
	r.weighs += weight
	for r.weighs > r.most && r.order.Len() > 1 {
		r.drop(r.order.Back().Value.(kept[K, V]).key)
	}
}

func (r *recent[K, V]) drop(key K) {
	e := r.at[key]
	if e == nil {
		return
	}
	k := r.order.Remove(e).(kept[K, V])
	delete(r.at, key)
	r.weighs -= k.weight
	if r.gone != nil {
		r.gone(key, k.value)
	}
}

func (r *recent[K, V]) clear() {
	for r.order.Len() > 0 {
		r.drop(r.order.Back().Value.(kept[K, V]).key)
	}
}

// cases keeps cases, and knows which of them asked a question.
type cases struct {
	*recent[journal.Subject, *Case]
	asked map[question]map[*Case]bool
}

func newCases() *cases {
	c := &cases{asked: make(map[question]map[*Case]bool)}
	c.recent = newRecent(mostLines, func(_ journal.Subject, one *Case) {
		for q := range one.asked {
			delete(c.asked[q], one)
			if len(c.asked[q]) == 0 {
				delete(c.asked, q)
			}
		}
	})
	return c
}

func (c *cases) keep(one *Case) {
	c.put(one.Home, one, one.size)
	for q := range one.asked {
		if c.asked[q] == nil {
			c.asked[q] = make(map[*Case]bool)
		}
		c.asked[q][one] = true
	}
}

// ask notes a question that came up later.
func (c *cases) ask(one *Case, what question, upTo uint64) {
	one.asked.ask(what, upTo)
	if now, ok := c.at[one.Home]; ok && now.Value.(kept[journal.Subject, *Case]).value == one {
		if c.asked[what] == nil {
			c.asked[what] = make(map[*Case]bool)
		}
		c.asked[what][one] = true
	}
}

// answer drops the cases that asked one of the questions.
func (c *cases) answer(q questions) {
	for what, place := range q {
		for one := range c.asked[what] {
			if one.asked.touches(what, place) {
				c.drop(one.Home)
			}
		}
	}
}

// entries keeps decoded entries.
type entries struct {
	*recent[journal.Position, *record.Decoded]
}

func newEntries() entries {
	return entries{newRecent[journal.Position, *record.Decoded](mostBytes, nil)}
}
