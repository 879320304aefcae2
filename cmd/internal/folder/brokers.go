package folder

import (
	"slices"

	"fettlebook/sync/segment"
)

// Remember keeps at which addresses the hub may be found, the likeliest first: those that are
// given, then those that were known before, as many as a tablet remembers. It returns all.
// Which of them is the hub its pinned certificate says.
func (f *Folder) Remember(brokers []string) ([]string, error) {
	f.owing.Lock()
	defer f.owing.Unlock()
	var list []string
	for _, b := range slices.Concat(brokers, f.Brokers) {
		if !slices.Contains(list, b) && len(list) < segment.MostBrokers {
			list = append(list, b)
		}
	}
	if slices.Equal(list, f.Brokers) {
		return list, nil
	}
	id := f.Identity
	id.Brokers = list
	if err := WriteIdentity(f.Dir, id); err != nil {
		return nil, err
	}
	f.Brokers = list
	return list, nil
}

// Move keeps where a hub is from now on.
func (f *Folder) Move(id Identity) error {
	f.owing.Lock()
	defer f.owing.Unlock()
	if err := WriteIdentity(f.Dir, id); err != nil {
		return err
	}
	f.Identity = id
	return nil
}
