// The gen program writes the golden entry of every kind that has none yet:
//
//	go run ./testdata/entries/gen testdata/entries
//
// A golden entry is what a released program wrote, so a file that is there is
// never written again. If an old one no longer reads or encodes the same, the
// code is wrong, not the file.
package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"fettlebook/journal/journaltest"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: gen <folder>")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func write(folder string) error {
	for _, d := range journaltest.Samples() {
		raw, err := journaltest.Golden(d)
		if err != nil {
			return err
		}
		kind := d.Data.Kind()
		name := filepath.Join(folder, fmt.Sprintf("%s.v%d.json", kind, kind.Version()))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return err
		}
		_, err = f.Write(raw)
		if err := errors.Join(err, f.Close()); err != nil {
			return err
		}
		fmt.Println("wrote", name)
	}
	return nil
}
