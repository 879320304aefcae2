package demo

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Album is a folder of photos, given out in turn and over again.
type Album struct {
	files []string
	given *int
}

// OpenAlbum lists the JPEG and PNG files of a folder by name.
func OpenAlbum(dir string) (Album, error) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return Album{}, fmt.Errorf("open the folder of photos: %w", err)
	}
	a := Album{given: new(int)}
	for _, f := range list {
		if slices.Contains([]string{".jpg", ".jpeg", ".png"}, strings.ToLower(filepath.Ext(f.Name()))) {
			a.files = append(a.files, filepath.Join(dir, f.Name()))
		}
	}
	if len(a.files) == 0 {
		return a, fmt.Errorf("the folder %s holds no .jpg or .png file", dir)
	}
	return a, nil
}

func (a Album) next() (raw []byte, ok bool, err error) {
	if len(a.files) == 0 {
		return nil, false, nil
	}
	name := a.files[*a.given%len(a.files)]
	*a.given++
	raw, err = os.ReadFile(name)
	return raw, true, err
}
