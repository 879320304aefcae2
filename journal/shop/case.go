package shop

import (
	"errors"
	"iter"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// Case is the record of one home: of a job, of a run with all its jobs, or of
// a thing of the register. It is never changed and is safe for concurrent use.
type Case struct {
	Home journal.Subject
	Shop *record.Shop // what its entries tell, within the register as it was then

	asked questions
	size  int // entries

	shelf *card.Shelf
	// lates folds its entries in every other order that is as true, once;
	// there is none where all writers had seen each other's entries.
	lates func() []*record.Shop
	mu    sync.Mutex
	jobs  map[journal.JobID]*Standing
}

// Standing is how a job stands on its route card.
type Standing struct {
	Job      *record.Job
	Card     *card.Card // nil while it is not here
	Rows     []route.Row
	Next     []route.Todo
	Verdicts route.Verdicts
	Driving  []facts.Statement // why the vehicle is not to be driven
	Stock    *facts.Stock      // the register, for what its entries used

	// Worked out when they are first asked.
	ahead     func() []route.Todo
	back      func() route.Handover
	ignorance func() []route.Ignorance
}

// Each yields how the hold points stand for each thing by itself. Without the
// card that is the one verdict which says so.
func (st *Standing) Each() iter.Seq[route.Verdict] {
	if st.Card == nil {
		return slices.Values(st.Verdicts.List)
	}
	return route.Each(st.Rows)
}

// DoNotDrive says why the vehicle is not to be driven, "" if it may be.
func (st *Standing) DoNotDrive() string { return facts.DoNotDrive(st.Driving) }

// Ahead lists what has its turn as soon as what comes next is written.
func (st *Standing) Ahead() []route.Todo { return st.ahead() }

// HandedBack says with what the vehicle was handed back, or would be now.
func (st *Standing) HandedBack() route.Handover { return st.back() }

// Ignorance lists the holds that turned out unmet after handover.
func (st *Standing) Ignorance() []route.Ignorance { return st.ignorance() }

// Standing returns how a job of the case stands, or nil if it is not in it.
// It is worked out once.
func (c *Case) Standing(id journal.JobID) *Standing {
	j := c.Shop.Job(id)
	if j == nil {
		return nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if st := c.jobs[id]; st != nil {
		return st
	}
	if c.jobs == nil {
		c.jobs = make(map[journal.JobID]*Standing)
	}
	c.jobs[id] = c.stand(j)
	return c.jobs[id]
}

func (c *Case) stand(j *record.Job) *Standing {
	// Without its card a job can be looked at all the same.
	by, err := route.Pinned(c.shelf, j, c.Shop)
	if err != nil && !errors.Is(err, card.ErrNoCard) {
		by = nil
	}
	held := c.held(by, j)
	st := &Standing{Job: j, Card: by, Stock: facts.StockOf(c.Shop), Rows: held.Grid(), Next: held.Next(), Verdicts: held.Check(), Driving: held.Driving()}
	// The job is held anew for these: what was worked out above need not be kept
	// for them.
	st.ahead = sync.OnceValue(func() []route.Todo { return c.held(by, j).Ahead(st.Next) })
	st.back = sync.OnceValue(func() route.Handover {
		return c.held(by, j).HandedBack()
	})
	st.ignorance = sync.OnceValue(func() []route.Ignorance {
		if j.Released == nil {
			return nil
		}
		return c.held(by, j).Ignorance()
	})
	return st
}

// held holds a job of the case against its card, in every order beside each
// other.
func (c *Case) held(by *card.Card, j *record.Job) *route.Held {
	orders := append([]*record.Shop{c.Shop}, c.lates()...)
	held := abreast(orders, func(in *record.Shop) *route.Held {
		if one := in.Job(j.ID); one != nil {
			return route.Hold(by, one, facts.StockOf(in))
		}
		return nil
	})
	held[0].Late(slices.DeleteFunc(held[1:], func(h *route.Held) bool { return h == nil })...)
	return held[0]
}

// lates folds books when it is first asked.
func lates(books []*record.Book, register *record.Shop, uses record.Uses) func() []*record.Shop {
	return sync.OnceValue(func() []*record.Shop {
		return abreast(books, func(b *record.Book) *record.Shop { return b.Within(register, uses) })
	})
}

// abreast works on all of a list at the same time: who waits for a job of which
// there are several orders waits for the last of them.
func abreast[From, To any](list []From, work func(From) To) []To {
	done := make([]To, len(list))
	var working sync.WaitGroup
	for i, one := range list {
		if i == len(list)-1 {
			done[i] = work(one) // mostly the only one
		} else {
			working.Go(func() { done[i] = work(one) })
		}
	}
	working.Wait()
	return done
}
