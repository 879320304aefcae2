package look_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fettlebook/media/look"
)

// An hour east of Greenwich.
func zone() *time.Location { return time.FixedZone("", 3600) }

func TestClocks(t *testing.T) {
	now := time.Date(2026, 3, 2, 14, 0, 0, 0, zone())
	const device = " and this device 2 March 2026 14:00, so the camera’s clock is "
	const set = ". If the photograph was taken just now, set the camera’s clock."
	for _, trial := range []struct {
		camera string
		began  time.Time
		what   look.Doubt // "" if there is none
		say    string
	}{
		{"", now, "", ""},
		{"no time", now, "", ""},
		{"2026-03-02T13:58:00", time.Time{}, "", ""},
		{"2026-03-02T13:50:00", time.Time{}, "", ""}, // no more than the limit
		{"2026-03-02T14:10:00", time.Time{}, "", ""},
		{"2026-03-02T12:55:00Z", time.Time{}, "", ""},
		{"2026-03-02T13:49:59", time.Time{}, look.CameraClock, "The camera says 2 March 2026 13:49" + device + "10 minutes behind" + set},
		{"2026-03-02T14:11:00", time.Time{}, look.CameraClock, "The camera says 2 March 2026 14:11" + device + "11 minutes ahead" + set},
		{"2026-03-02T14:00:00Z", time.Time{}, look.CameraClock, "The camera says 2 March 2026 15:00" + device + "1 hour ahead" + set},
		{"2026-03-02T12:10:00", time.Time{}, look.CameraClock, "The camera says 2 March 2026 12:10" + device + "1 hour 50 minutes behind" + set},
		{"2024-03-02T13:55:00", time.Time{}, look.CameraClock, "The camera says 2 March 2024 13:55" + device + "2 years behind" + set},
		{"2026-03-02T12:52:00", now.Add(-time.Hour), look.CameraClock, "The camera says 2 March 2026 12:52" + device + "1 hour 8 minutes behind" + set},
		{"2026-03-02T12:49:00", now.Add(-time.Hour), look.BeforeJob, "Taken before this job began, by the camera’s clock: at 2 March 2026 12:49; the job was opened 11 minutes later, at 2 March 2026 13:00. Take a new one, or set the camera’s clock."},
		{"2026-03-01T08:00:00Z", now.Add(-time.Hour), look.BeforeJob, "Taken before this job began, by the camera’s clock: at 1 March 2026 09:00; the job was opened 1 day 4 hours later, at 2 March 2026 13:00. Take a new one, or set the camera’s clock."},
	} {
		got := look.Judge(fine(), look.Circumstances{Camera: trial.camera, Now: now, Began: trial.began}, look.DefaultLimits())
		var want []look.Finding
		if trial.what != "" {
			want = []look.Finding{{What: trial.what, Say: trial.say}}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q:\ngot  %q\nwant %q", trial.camera, got, want)
		}
	}
}

// fine is a picture in which nothing is wrong.
func fine() look.Picture { return look.Picture{Blur: 0.25, Edges: 5, Mean: 120} }

// However far the clocks are apart, there is a word exactly beyond the limit,
// and it is the same for a camera that writes its zone and one that does not.
func TestAnyClock(t *testing.T) {
	limits := look.DefaultLimits()
	rapid.Check(t, func(t *rapid.T) {
		now := time.Unix(rapid.Int64Range(1_700_000_000, 2_000_000_000).Draw(t, "now"), 0).In(zone())
		off := time.Duration(rapid.OneOf(rapid.Int64Range(-1200, 1200), rapid.Int64Range(-1e9, 1e9)).Draw(t, "off")) * time.Second
		taken := now.Add(off)
		judge := func(camera string) []look.Finding {
			return look.Judge(fine(), look.Circumstances{Camera: camera, Now: now}, limits)
		}
		got := judge(taken.Format("2006-01-02T15:04:05"))
		if (len(got) == 1) != (off.Abs() > limits.Clock) {
			t.Fatalf("%v apart: %v", off, got)
		}
		for _, same := range []string{taken.Format(time.RFC3339), taken.UTC().Format(time.RFC3339)} {
			if other := judge(same); !slices.Equal(got, other) {
				t.Fatalf("%v without a zone, %v for %s", got, other, same)
			}
		}
		if len(got) == 1 && strings.Contains(got[0].Say, "ahead") != (off > 0) {
			t.Fatalf("%v apart: %s", off, got[0].Say)
		}
	})
}
