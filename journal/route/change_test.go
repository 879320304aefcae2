package route_test

import (
	"fmt"
	"reflect"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// Changes of a story, to be put together with does.

// with changes the data of a step.
func with[P any](name string, change func(*P)) func(*story) {
	return func(s *story) { edit(s, name, change) }
}

func without(names ...string) func(*story) { return func(s *story) { s.drop(names...) } }

func moved(name, behind string) func(*story) { return func(s *story) { s.move(name, behind) } }

// then puts a step behind another one.
func then(behind string, make func(*story) step) func(*story) {
	return func(s *story) { s.after(behind, make(s)) }
}

// first puts steps of the register before the job.
func first(steps ...step) func(*story) {
	return func(s *story) { s.steps = append(append([]step(nil), steps...), s.steps...) }
}

// again repeats a step behind another one, with other data.
func again[P any](name, behind string, change func(*P)) func(*story) {
	return func(s *story) {
		st := s.steps[s.index(name)]
		st.name += " again"
		s.after(behind, st)
		edit(s, st.name, change)
	}
}

// by has a joint tightened by another figure, with what it got.
func by(name string, id journal.SpecID, got string) func(*story) {
	return with(name, func(t *journal.Torque) { t.Spec, t.Torque = id, q[unit.Torque](got) })
}

// alikeProbes leaves one probe of each kind, which stands for the other side.
func alikeProbes(s *story) { standFor(s, 2) }

// oneProbe leaves one probe, which stands for all others.
func oneProbe(s *story) { standFor(s, 1) }

// standFor leaves the first n probes, each of which stands for every n-th part.
func standFor(s *story, n int) {
	edit(s, "bake", func(b *journal.BakeStart) {
		for i, p := range b.Probes[n:] {
			b.StandIns = append(b.StandIns, journal.StandIn{Part: p.On, Probe: b.Probes[i%n].Channel, Is: journal.Alike})
		}
		b.Probes = b.Probes[:n]
	})
}

// recorded puts other readings on all channels of the bake.
func recorded(minutes, every int, shows func(second int) string) func(*story) {
	return with("trace", func(p *journal.ProbeTrace) {
		other := logs(minutes, every, map[string]func(int) string{"1": shows})
		p.Seconds = other.Seconds
		for i := range p.Channels {
			p.Channels[i].Readings = other.Channels[0].Readings
		}
	})
}

// tool puts a torque wrench on the register, and what its check found.
func wrench(id journal.ToolID, due journal.Date) func(*story) {
	about := journal.Of("tool", string(id))
	steps := []step{plain("tool "+string(id), office, about, "io", journal.Tool{Tool: id, What: journal.TorqueWrench, Low: q[unit.Torque]("5 N.m"), High: q[unit.Torque]("200 N.m"), Tolerance: q[unit.Ratio]("4 %")})}
	if due != "" {
		steps = append(steps, plain("check "+string(id), office, about, "io", journal.ToolCheck{Tool: id, Result: journal.InTolerance, Due: due}))
	}
	return first(steps...)
}

// torqued changes what a joint got.
func torqued(name string, change func(*journal.Torque)) func(*story) { return with(name, change) }

// nm is a torque.
func nm(value float64) unit.Torque { return q[unit.Torque](fmt.Sprintf("%g N.m", value)) }

// unseen leaves the photographs of steps out.
func unseen(names ...string) func(*story) {
	return func(s *story) {
		for _, name := range names {
			st := &s.steps[s.index(name)]
			old := st.data
			st.data = func(ids map[string]journal.EntryID) journal.Payload {
				p := old(ids)
				if photos := reflect.ValueOf(p).Elem().FieldByName("Photos"); photos.IsValid() {
					photos.SetZero()
				}
				return p
			}
		}
	}
}
