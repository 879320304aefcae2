package main

import (
	"context"
	"fmt"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/meter"
	"fettlebook/media/durable"
)

// machineFigures are those of hubs and tablets, each with the one meaning that it has.
type machineFigures struct {
	entries, countersigned, waiting, heard, ahead                   meter.Figure
	apart, apartBytes, free, photos, cutOff, answers, letIn         meter.Figure
	joins, signIns, revocations, cutOffs, refusals, originals, info meter.Figure
}

func newMachineFigures() *machineFigures {
	of := []string{"device"}
	return &machineFigures{
		info:          meter.Figure{Name: "fettlebook_info", Help: "Always 1: what this machine is.", Of: []string{"role", "device"}},
		entries:       meter.Figure{Name: "fettlebook_entries", Help: "Entries of a log that are here.", Of: of},
		countersigned: meter.Figure{Name: "fettlebook_entries_countersigned", Help: "Entries of a log that the hub has countersigned.", Of: of},
		waiting:       meter.Figure{Name: "fettlebook_entries_waiting", Help: "Entries of a log that are here and not countersigned yet: how far it lags.", Of: of},
		heard:         meter.Figure{Name: "fettlebook_heard_seconds", Help: "Seconds since this machine last heard of a device.", Of: of},
		ahead:         meter.Figure{Name: "fettlebook_clock_ahead_seconds", Help: "How far the clock of a device is ahead of the hub’s, when they were last compared.", Of: of},
		apart:         meter.Figure{Name: "fettlebook_quarantine_messages", Help: "Messages of a device that could not be verified and lie apart; device is empty where nobody was proven to have sent them.", Of: of},
		apartBytes:    meter.Figure{Name: "fettlebook_quarantine_bytes", Help: "Bytes of these messages.", Of: of},
		free:          meter.Figure{Name: "fettlebook_disk_free_bytes", Help: "Bytes that are free on the disk of the data folder."},
		photos:        meter.Figure{Name: "fettlebook_photos_waiting", Help: "Original photographs that entries here name and that the hub does not have yet."},
		cutOff:        meter.Figure{Name: "fettlebook_cut_off", Help: "1 while a device is kept out for having sent more than honest work does.", Of: of},
		answers:       meter.Figure{Name: "fettlebook_hub_answers", Help: "1 while the hub answers this tablet."},
		letIn:         meter.Figure{Name: "fettlebook_let_in", Help: "0 while the hub does not let this tablet in."},
		originals:     meter.Figure{Name: "fettlebook_photos_waiting_bytes", Help: "Bytes of the original photographs that are on their way to the hub and not there yet."},
		joins:         meter.Figure{Name: "fettlebook_joins_total", Help: "Tablets that were let in.", Total: true},
		signIns:       meter.Figure{Name: "fettlebook_sign_ins_total", Help: "Browsers that were let in at the pages.", Total: true},
		revocations:   meter.Figure{Name: "fettlebook_revocations_total", Help: "Tablets that were revoked.", Total: true},
		cutOffs:       meter.Figure{Name: "fettlebook_cut_offs_total", Help: "How often a device was kept out for having sent more than honest work does.", Total: true},
		refusals:      meter.Figure{Name: "fettlebook_refusals_total", Help: "What was refused: a join, a sign-in, a question of a tablet, a request at the pages, a program without the token, a state to witness; and what the message server complained of, which is whom it did not let in and what a tablet may not.", Total: true, Of: []string{"what"}},
	}
}

// logs reads how far each log is here, and how much room the disk has.
func (f *machineFigures) logs(ctx context.Context, in *folder.Folder) ([]meter.Reading, error) {
	heads, err := in.Log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	var list []meter.Reading
	for _, h := range heads {
		c, err := in.Log.LastCountersigned(ctx, h.Device)
		if err != nil {
			return nil, err
		}
		device := string(h.Device)
		list = append(list, f.entries.At(float64(h.Size), device), f.countersigned.At(float64(c.Size), device), f.waiting.At(float64(max(0, h.Size-c.Size)), device))
	}
	free, err := durable.Free(in.Dir)
	if err != nil {
		return nil, fmt.Errorf("read how much room there is: %w", err)
	}
	return append(list, f.free.At(float64(free))), nil
}
