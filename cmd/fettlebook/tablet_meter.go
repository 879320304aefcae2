package main

import (
	"context"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/meter"
	"fettlebook/journal/words"
	"fettlebook/sync/uplink"
)

// tabletMeter tells how a tablet stands. That it does not reach its hub is nothing wrong:
// it works for weeks without.
func tabletMeter(t *terminal, f *folder.Folder, up func() uplink.Status, n *counts) *meter.Meter {
	return &meter.Meter{
		Health: func(ctx context.Context) meter.Health {
			h, s := meter.Health{Role: string(folder.Tablet), Device: string(f.Device)}, up()
			if why, err := f.Log.Closed(ctx, f.Device); err != nil {
				h.Problems = append(h.Problems, words.Sentence(err.Error()))
			} else if why != "" {
				h.Problems = append(h.Problems, "Nothing is written to the log of this tablet any more: "+why+". Join again with a new invitation.")
			}
			if err := f.Log.Room(false); err != nil {
				h.Problems = append(h.Problems, words.Sentence(err.Error()))
			} else if err := f.Log.Room(true); err != nil {
				h.Notes = append(h.Notes, "The disk has too little room for more photographs.")
			}
			if s.Problem != "" {
				h.Notes = append(h.Notes, words.Sentence(s.Problem))
			}
			return h
		},
		Readings: func(ctx context.Context) ([]meter.Reading, error) {
			fig, s := newMachineFigures(), up()
			logs, err := fig.logs(ctx, f)
			if err != nil {
				return nil, err
			}
			list := append(logs, fig.info.At(1, string(folder.Tablet), string(f.Device)), fig.photos.At(float64(s.PhotosWaiting)),
				fig.originals.At(float64(max(0, s.Lane.Total-s.Lane.Sent))), fig.answers.Is(!s.Connected.IsZero() && !s.Away), fig.letIn.Is(s.Refused.IsZero()),
				fig.signIns.At(float64(n.signIns.Load())), fig.refusals.At(float64(n.signInsRefused.Load()), "sign-in"),
				fig.refusals.At(float64(n.notLetIn.Load()), "page"), fig.refusals.At(float64(n.tokensRefused.Load()), "token"))
			if !s.Connected.IsZero() {
				list = append(list, fig.heard.At(t.Now().Sub(s.Connected).Seconds(), string(f.Hub)), fig.ahead.At(s.Skew.Seconds(), string(f.Device)))
			}
			return list, nil
		},
	}
}
