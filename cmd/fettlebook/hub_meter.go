package main

import (
	"context"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/meter"
	"fettlebook/journal/words"
)

// meter tells how the hub stands.
func (s *hubProcess) meter() *meter.Meter {
	return &meter.Meter{Health: s.health, Readings: s.readings}
}

func (s *hubProcess) health(ctx context.Context) meter.Health {
	h := meter.Health{Role: string(folder.Hub), Device: string(s.f.Device)}
	select {
	case <-s.hub.Ready():
	default:
		h.Problems = append(h.Problems, "A part of the hub’s own log is not here yet; it comes back from the tablets that connect.")
	}
	if err := s.broker.Stopped(); err != nil {
		h.Problems = append(h.Problems, words.Sentence(err.Error()))
	}
	if err := s.f.Log.Room(false); err != nil {
		h.Problems = append(h.Problems, words.Sentence(err.Error()))
	} else if err := s.f.Log.Room(true); err != nil {
		h.Notes = append(h.Notes, "The disk has too little room for more photographs.")
	}
	if c, err := s.copied(); err != nil || c.Late || c.Damaged {
		h.Notes = append(h.Notes, "A backup is late, damaged, or not in reach; the desk says which.")
	}
	if n := len(s.hub.Resting()); n > 0 {
		h.Notes = append(h.Notes, "A tablet is cut off; the desk says which, and for what.")
	}
	return h
}

func (s *hubProcess) readings(ctx context.Context) ([]meter.Reading, error) {
	f := newMachineFigures()
	list := []meter.Reading{f.info.At(1, string(folder.Hub), string(s.f.Device))}
	logs, err := f.logs(ctx, s.f)
	if err != nil {
		return nil, err
	}
	list = append(list, logs...)
	now, heard, resting := s.t.Now(), s.hub.Heard(), s.hub.Resting()
	for device, at := range heard {
		list = append(list, f.heard.At(now.Sub(at).Seconds(), string(device)))
	}
	for device, ahead := range s.hub.Clocks() {
		list = append(list, f.ahead.At(ahead.Seconds(), string(device)))
	}
	for device := range resting {
		list = append(list, f.cutOff.At(1, string(device)))
	}
	apart, err := deskHub{s}.Apart(ctx)
	if err != nil {
		return nil, err
	}
	for _, a := range apart {
		list = append(list, f.apart.At(float64(a.Messages), string(a.Device)), f.apartBytes.At(float64(a.Bytes), string(a.Device)))
	}
	photos, err := s.f.Log.Awaited(ctx)
	if err != nil {
		return nil, err
	}
	n := s.hub.Tally()
	return append(list, f.photos.At(float64(photos)), f.joins.At(float64(n.Joins)), f.signIns.At(float64(s.counts.signIns.Load())),
		f.revocations.At(float64(n.Revocations)), f.cutOffs.At(float64(n.CutOffs)), f.refusals.At(float64(n.JoinsRefused), "join"),
		f.refusals.At(float64(s.counts.signInsRefused.Load()), "sign-in"), f.refusals.At(float64(n.Questions), "question"),
		f.refusals.At(float64(s.counts.notLetIn.Load()), "page"), f.refusals.At(float64(s.counts.tokensRefused.Load()), "token"),
		f.refusals.At(float64(s.witness.Refused()), "witness"), f.refusals.At(float64(s.broker.Complaints()), "message server")), nil
}
