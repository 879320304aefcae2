package demo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// Config says how the day is played.
type Config struct {
	Dir     string // where the three data folders go
	Program string // this program's own file, started for every machine
	Photos  Album  // pictures to use instead of its own; may be empty
	KillHub bool   // kill the hub in the middle and start it again
	Out     io.Writer
	Now     func() time.Time // the machine's own clock
	Rand    io.Reader
}

// Day is a day in play.
type Day struct {
	cfg    Config
	clock  *Clock    // nil: the machine's own
	began  time.Time // by that clock
	hub    *machine
	benchs map[string]*machine
	cable  *Cable
	names  names
	begun  time.Time
	steps  []step // of the story
	played int    // of these
}

// Play sets the shop up and plays the story to its end. The machines are
// left running; Close stops them.
func Play(ctx context.Context, cfg Config) (*Day, error) {
	d, err := Begin(ctx, cfg)
	if err != nil {
		return nil, err
	}
	if err := d.End(ctx); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// Begin sets the shop up and plays nothing of the story yet. The machines are
// left running; Close stops them.
func Begin(ctx context.Context, cfg Config) (*Day, error) {
	steps, err := readStory(story)
	if err != nil {
		return nil, err
	}
	d := &Day{cfg: cfg, benchs: map[string]*machine{}, names: names{}, begun: cfg.Now(), steps: steps}
	if err := d.setClock(steps[0]); err != nil {
		return nil, err
	}
	if err := d.setUp(ctx); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

// Until plays the story as far as a time of its clock, written as the story has it.
func (d *Day) Until(ctx context.Context, at string) error {
	for ; d.played < len(d.steps); d.played++ {
		s := d.steps[d.played]
		if s.At > at {
			return nil
		}
		if err := d.play(ctx, s); err != nil {
			return fmt.Errorf("step %d of the story: %w", d.played+1, err)
		}
	}
	return nil
}

// End plays what is left of the story, and has written what leaves the shop then.
func (d *Day) End(ctx context.Context) error {
	const never = "9999-12-31 23:59"
	if err := d.Until(ctx, never); err != nil {
		return err
	}
	if err := d.papers(ctx, journal.JobID(d.names[lastJob])); err != nil {
		return fmt.Errorf("what leaves the shop: %w", err)
	}
	return nil
}

// lastJob is what the story calls the job with which it ends.
const lastJob = "job"

// Passphrase opens the desk of the demonstration.
const Passphrase = "tin lantern at the desk"

// Site is where the pages of a machine are.
type Site struct{ Name, Address string }

// Sites lists the pages of the hub and its tablets.
func (d *Day) Sites(ctx context.Context) ([]Site, error) {
	machines := []*machine{d.hub}
	for _, name := range slices.Sorted(maps.Keys(d.benchs)) {
		machines = append(machines, d.benchs[name])
	}
	var list []Site
	for _, m := range machines {
		pages, err := m.pages(ctx)
		if err != nil {
			return nil, err
		}
		list = append(list, Site{m.name, pages})
	}
	return list, nil
}

// Close stops the machines.
func (d *Day) Close() error {
	var errs []error
	for _, m := range d.benchs {
		errs = append(errs, m.stop())
	}
	if d.hub != nil {
		errs = append(errs, d.hub.stop())
	}
	if d.cable != nil {
		errs = append(errs, d.cable.Close())
	}
	if d.clock != nil {
		errs = append(errs, d.clock.Close())
	}
	return errors.Join(errs...)
}

func (d *Day) say(format string, args ...any) {
	fmt.Fprintf(d.cfg.Out, "%s  %s\n", d.now().Format("2 Jan 15:04"), fmt.Sprintf(format, args...))
}

func (d *Day) play(ctx context.Context, s step) error {
	if err := d.wait(s); err != nil {
		return err
	}
	if s.Say != "" {
		d.say("%s", s.Say)
	}
	switch s.Do {
	case "":
	case cutOne:
		d.cable.Cut()
	case mendOne:
		d.cable.Mend()
	case killHub:
		return d.killHub(ctx)
	case meet:
		return d.meet(ctx, "bench 1", "bench 2")
	case meetTwo:
		return d.meet(ctx, "bench 2")
	case sealed:
		return d.awaitSeal(ctx, journal.JobID(d.names[s.As]))
	case showHold:
		return d.sayHolds(ctx, s)
	case openJob:
		id, err := journal.NewJobID(d.cfg.Rand)
		d.names[s.As] = string(id)
		return err
	case newCard:
		return d.writeCard(ctx, s)
	case readTag:
		return d.readTag(ctx, s)
	default:
		return fmt.Errorf("the story wants %q done, which nobody knows", s.Do)
	}
	if s.Kind == "" {
		return nil
	}
	return d.write(ctx, s)
}

// write snaps a step's pictures and writes its entry.
func (d *Day) write(ctx context.Context, s step) error {
	m, err := d.machine(s.On)
	if err != nil {
		return err
	}
	draft, err := s.draft(d.names)
	if err != nil {
		return err
	}
	for _, shot := range s.Shots {
		picture, err := d.picture(shot)
		if err != nil {
			return err
		}
		photo, _, err := m.client.Snap(ctx, bytes.NewReader(picture), shot.Shows)
		if err != nil {
			return fmt.Errorf("photograph %q: %w", shot.Shows, err)
		}
		journal.Attach(draft.Data, photo)
	}
	e, err := m.client.Append(ctx, draft)
	if err != nil {
		return err
	}
	if s.As == "" {
		return nil
	}
	d.names[s.As] = e.ID.String()
	photos, err := e.Photos()
	if err == nil && len(photos) > 0 {
		d.names[s.As+"photo"] = photos[0].Ref.String()
	}
	return err
}

func (d *Day) machine(name string) (*machine, error) {
	if name == d.hub.name {
		return d.hub, nil
	}
	if m, ok := d.benchs[name]; ok {
		return m, nil
	}
	return nil, fmt.Errorf("the story writes on %q, and there is no such machine", name)
}

// picture is the next of the user's own photos, or the demonstration's.
func (d *Day) picture(s shot) ([]byte, error) {
	if raw, ok, err := d.cfg.Photos.next(); ok || err != nil {
		return raw, err
	}
	return Picture(s.Picture, d.now())
}

// writeCard keeps a customer's details beside the log and commits to them.
func (d *Day) writeCard(ctx context.Context, s step) error {
	m, err := d.machine(s.On)
	if err != nil {
		return err
	}
	var details journal.Details
	if err := json.Unmarshal(s.Data, &details, json.RejectUnknownMembers(true)); err != nil {
		return fmt.Errorf("customer card: %w", err)
	}
	id, err := journal.NewCardID(d.cfg.Rand)
	if err != nil {
		return err
	}
	card, err := journal.NewCard(id, details, d.cfg.Rand)
	if err != nil {
		return err
	}
	commitment, err := card.Commitment()
	if err != nil {
		return err
	}
	e, err := m.client.Append(ctx, journal.Draft{Subject: journal.Of("card", string(id)), By: journal.PersonID(s.By),
		Data: &journal.CardWriting{Card: id, Commitment: commitment}})
	if err != nil {
		return err
	}
	card.Written = e.ID
	d.names[s.As], d.names[s.As+"commitment"] = string(id), commitment.String()
	return m.client.SaveCard(ctx, journal.CardState{Card: card, Changed: e.ID})
}

// killHub kills the hub and starts it again, if that was asked for.
func (d *Day) killHub(ctx context.Context) error {
	if !d.cfg.KillHub {
		return nil
	}
	d.say("(the hub is killed with no warning, and started again)")
	if err := d.hub.kill(); err != nil {
		return err
	}
	return d.hub.start(ctx)
}
