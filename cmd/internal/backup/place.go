package backup

import (
	"fmt"
	"io/fs"
	"time"

	"fettlebook/journal"
)

// ofAnother says that a place holds backups of another folder: a new set would
// in time push them out.
type ofAnother struct {
	place, shop string
	device      journal.DeviceID
}

func (o *ofAnother) Error() string {
	return fmt.Sprintf("%s holds backups of another folder (device %s of %s), which new ones would push out; name a place of its own for each folder", o.place, o.device, o.shop)
}

// Is makes it one of what is refused.
func (o *ofAnother) Is(target error) bool { return target == fs.ErrInvalid }

// vacant refuses a place where another folder's backups lie. A set that cannot be
// read is nobody's.
func (a Asked) vacant(device journal.DeviceID) error {
	names, err := Names(a.To)
	if err != nil {
		return err
	}
	for _, name := range names {
		if s, err := Read(a.To, name); err == nil && s.Device != device {
			return &ofAnother{a.To, s.ShopName, s.Device}
		}
	}
	return nil
}

// next names a set after its moment, and after every other: where the clock was
// set back, or two are made in a second, the newest is still the last one made.
func (a Asked) next(made time.Time) (string, error) {
	names, err := Names(a.To)
	if err != nil {
		return "", err
	}
	name := made.Format(naming)
	if len(names) == 0 || names[len(names)-1] < name {
		return name, nil
	}
	last, err := time.Parse(naming, names[len(names)-1])
	if err != nil {
		return "", fmt.Errorf("name a backup: %w", err)
	}
	return last.Add(time.Second).Format(naming), nil
}
