package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
)

// What comes next is never what a right job of the kind does not write: beside
// a bracket that came off with its line closed nobody is asked for washers.
func TestNextAsksForWhatIsTrue(t *testing.T) {
	for _, c := range append(honestKinds(), honestUncoated()...) {
		t.Run(c.what, func(t *testing.T) {
			p := c.kind()
			s := p.play(t, jobID)
			if c.does != nil {
				c.does(s)
			}
			named := journal.RouteID("caliper")
			if p.route != "" {
				named = p.route
			}
			pinned := supplied(t, named)
			log := s.write().log
			job, shop := fold(log)
			whole := facts.StockOf(shop).Job(pinned, job)
			wrote := func(at journal.Subject, k journal.Kind) bool {
				return slices.ContainsFunc(slices.Concat([]*facts.Site{whole.Vehicle}, whole.Corners, whole.Parts), func(o *facts.Site) bool {
					return o.Subject == at && slices.ContainsFunc(o.Events(), func(e facts.Event) bool { return e.Data.Kind() == k })
				})
			}
			for n := range log {
				job, shop := fold(log[:n+1])
				if job == nil || job.Opened == nil {
					continue
				}
				for _, todo := range held(pinned, job, shop).Next() {
					if todo.Kind != "" && !wrote(todo.Subject, todo.Kind) {
						t.Fatalf("after %d entries of %d: %s: %s", n+1, len(log), todo.Subject, todo.Say)
					}
				}
			}
		})
	}
}
