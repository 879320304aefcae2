package main

import (
	"context"
	"fmt"
	"text/tabwriter"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
)

type hubTablets struct {
	JSON bool `name:"json" help:"Print JSON."`
}

// tabletRow is a tablet of the register, with how far its log is here.
type tabletRow struct {
	Device        journal.DeviceID `json:"device"`
	Name          string           `json:"name"`
	State         string           `json:"state"`
	Entries       int64            `json:"entries"`
	Countersigned int64            `json:"countersigned"`
}

// Run lists the tablets of the shop, with the IDs by which commands name them.
func (c *hubTablets) Run(ctx context.Context, t *terminal) error {
	rows := []tabletRow{}
	err := onShelf(ctx, t.plainly(c.JSON), func(s *shelf) (err error) {
		if s.Role != folder.Hub {
			return notA(folder.Hub, s.Identity)
		}
		for _, d := range s.view.Shop.Devices {
			if d.ID == s.Device {
				continue // the hub's own log
			}
			row := tabletRow{Device: d.ID, State: "in use"}
			switch {
			case d.Forked:
				row.State = "two histories"
			case d.Revoked:
				row.State = "revoked"
			}
			if d.Stated != nil {
				row.Name = d.Stated.Name
			}
			head, err := s.log.Head(ctx, d.ID)
			if err != nil {
				return err
			}
			last, err := s.log.LastCountersigned(ctx, d.ID)
			if err != nil {
				return err
			}
			row.Entries, row.Countersigned = head.Size, last.Size
			rows = append(rows, row)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return printReport(t.Out, "hub tablets", rows)
	}
	w := tabwriter.NewWriter(t.Out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "DEVICE\tNAME\tSTATE\tENTRIES\tCOUNTERSIGNED")
	for _, r := range rows {
		fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%d\n", r.Device, oneLine(r.Name), r.State, r.Entries, r.Countersigned)
	}
	return w.Flush()
}
