package recur

import (
	"slices"

	"fettlebook/journal/trade/stat"
)

// cell is the parts and defects of a group in a stratum.
type cell struct{ stratum, bad, all int32 }

// counts are the cells that have parts, of each group by rising stratum. There
// may be thousands of groups and hundreds of strata, and few parts in each.
type counts [][]cell

// groups adds the strata up.
func (c counts) groups() []stat.Sample {
	list := make([]stat.Sample, len(c))
	for g, cells := range c {
		for _, one := range cells {
			list[g].Parts += int(one.all)
			list[g].Defects += int(one.bad)
		}
	}
	return list
}

func (l *looked) count(g grouping) counts {
	c := make(counts, len(g.names))
	in := make([]cell, len(l.strata)) // of the group that is counted
	var strata []int32                // that it has parts in
	all := make([]cell, 0, len(g.names))
	from := int32(0)
	for i, end := range g.ends[:len(g.names)] {
		strata = strata[:0]
		for _, part := range g.order[from:end] {
			one := &in[l.stratum[part]]
			if one.all == 0 {
				strata = append(strata, int32(l.stratum[part]))
			}
			if one.all++; l.bad[part] {
				one.bad++
			}
		}
		slices.Sort(strata)
		first := len(all)
		for _, s := range strata {
			all = append(all, cell{s, in[s].bad, in[s].all})
			in[s] = cell{}
		}
		c[i], from = all[first:len(all):len(all)], end
	}
	return c
}
