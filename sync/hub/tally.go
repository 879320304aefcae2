package hub

import "sync/atomic"

// Tally is how often something happened in this run of the hub, for whoever watches
// over it.
type Tally struct {
	Joins, JoinsRefused int64
	Questions           int64 // that were refused
	Revocations         int64
	CutOffs             int64
	Heard, Opened       int64 // bytes of questions that came, and that there were to be read of them
}

type tally struct {
	joins, joinsRefused, questions, revocations, cutOffs, heard, opened atomic.Int64
}

// Tally returns how often something happened.
func (h *Hub) Tally() Tally {
	t := &h.tally
	return Tally{Joins: t.joins.Load(), JoinsRefused: t.joinsRefused.Load(), Questions: t.questions.Load(),
		Revocations: t.revocations.Load(), CutOffs: t.cutOffs.Load(), Heard: t.heard.Load(), Opened: t.opened.Load()}
}
