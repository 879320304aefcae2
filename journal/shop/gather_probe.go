package shop

import (
	"slices"

	"fettlebook/journal"
)

// probed takes how parts of other jobs are tagged that were in an oven with parts
// of this one while the probe on one part stood for another: it may only if both
// are of one metal. Either job asks for the other's, so that each is worked out
// anew when the other is tagged.
func (g *gathering) probed(job journal.Subject) error {
	racks, stood := make(map[journal.Subject][]journal.Subject), make(map[journal.Subject]bool)
	for _, t := range g.told() {
		bake, ok := t.data.(*journal.BakeStart)
		if !ok {
			continue
		}
		for _, p := range bake.Probes {
			racks[t.of] = append(racks[t.of], p.On)
		}
		for _, in := range bake.StandIns {
			racks[t.of], stood[t.of] = append(racks[t.of], in.Part), true
		}
	}
	asked := make(map[journal.Subject]bool)
	mine := func(part journal.Subject) bool { return part.Job() == job.Job() }
	for run, rack := range racks {
		if !stood[run] || !slices.ContainsFunc(rack, mine) {
			continue
		}
		for _, part := range rack {
			if mine(part) || part.Part() == "" || asked[part] {
				continue
			}
			asked[part] = true
			rows, err := g.citing(part)
			if err != nil {
				return err
			}
			for _, r := range rows {
				if r.Kind == journal.PartTagged {
					g.take(r)
				}
			}
		}
	}
	return g.load()
}
