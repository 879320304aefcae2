package folder

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"

	"github.com/go-json-experiment/json"
)

// PhotosFile says where a folder's originals are, if they do not all lie in its own folder of
// photographs.
const PhotosFile = "photos.json"

// Places is where the originals of a folder are.
type Places struct {
	Folder   string    `json:"folder,omitzero"`  // "" for the folder's own
	Leaving  string    `json:"leaving,omitzero"` // from where they were moved, until nothing of them is left there
	Archives []Archive `json:"archives,omitempty"`
}

// Archive is a folder of old originals, with those that were moved there.
type Archive struct {
	Folder string      `json:"folder"`
	Holds  []media.Ref `json:"holds"`
}

// ErrPhotosAway is wrapped when the folder to which all originals were moved is not in reach.
var ErrPhotosAway = errors.New("the photographs of this folder were moved to another disk, which is not in reach; connect it")

// ErrPhotosFile is wrapped when what says where the originals are cannot be read.
var ErrPhotosFile = errors.New("the file photos.json is damaged; restore it from your backup")

// ReadPlaces reads where the originals of a folder are.
func ReadPlaces(dir string) (Places, error) {
	var p Places
	raw, err := os.ReadFile(filepath.Join(dir, PhotosFile))
	if errors.Is(err, fs.ErrNotExist) {
		return p, nil
	}
	if err != nil {
		return p, fmt.Errorf("read where the photographs are: %w", err)
	}
	if err := json.Unmarshal(raw, &p, json.RejectUnknownMembers(true)); err != nil {
		return p, fmt.Errorf("%w (%s: %w)", ErrPhotosFile, dir, err)
	}
	return p, nil
}

// keep keeps where the originals of a folder are, durably.
func (p Places) keep(disk durable.Disk, dir string) error {
	raw, err := json.Marshal(p)
	if err == nil {
		err = disk.WriteFile(filepath.Join(dir, PhotosFile), append(raw, '\n'), 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep where the photographs are: %w", err)
	}
	return nil
}

// Root is where the originals of a folder lie that are not archived.
func (p Places) Root(dir string) string {
	if p.Folder != "" {
		return p.Folder
	}
	return PhotosPath(dir)
}

func (p Places) archives() (list []photodir.Archive) {
	for _, a := range p.Archives {
		list = append(list, photodir.Archive{Root: a.Folder, Holds: a.Holds})
	}
	return list
}

// Originals looks at the originals of a folder, wherever they are; it makes nothing.
func Originals(dir string) (*photodir.Dir, error) {
	p, err := ReadPlaces(dir)
	if err != nil {
		return nil, err
	}
	return photodir.OpenToRead(p.Root(dir)).WithArchives(p.archives()...), nil
}

// openPhotos opens the originals of a folder for writing. Those that were moved to another
// disk are not begun anew while that is away.
func openPhotos(dir string) (*photodir.Dir, error) {
	p, err := ReadPlaces(dir)
	if err != nil {
		return nil, err
	}
	if p.Folder != "" {
		if _, err := os.Stat(filepath.Join(p.Folder, photodir.Mark)); err != nil {
			return nil, fmt.Errorf("%w (%s)", ErrPhotosAway, p.Folder)
		}
	}
	photos, err := photodir.Open(p.Root(dir))
	if err != nil {
		return nil, err
	}
	return photos.WithArchives(p.archives()...), nil
}
