// The keep program keeps the data folders of a played day, small:
//
//	go run ./cmd/fettlebook demo --once --json --dir DAY --photos PICTURES >DAY.json
//	go run ./testdata/folders/keep DAY DAY.json testdata/folders/NAME
//
// It takes the hub's folder and that of bench 1, leaves what only a running program
// needs, and compacts the databases. PICTURES should be small and soft, so that they and
// their thumbnails are of few bytes.
package main

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver
)

func main() {
	if len(os.Args) != 4 {
		fmt.Fprintln(os.Stderr, "usage: keep <day's folder> <what the day came to> <new folder>")
		os.Exit(2)
	}
	if err := keep(os.Args[1], os.Args[2], os.Args[3]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// keep makes the new folder; one that is there is never written again.
func keep(day, result, to string) error {
	if err := os.Mkdir(to, 0o755); err != nil {
		return err
	}
	if err := keepSizes(result, filepath.Join(to, "day.json")); err != nil {
		return err
	}
	for _, machine := range []string{"hub", "bench-1"} {
		from, here := filepath.Join(day, machine), filepath.Join(to, machine)
		if err := copyFolder(from, here); err != nil {
			return err
		}
		if err := compact(filepath.Join(here, "journal.db")); err != nil {
			return err
		}
	}
	return nil
}

// keepSizes keeps how long the three logs of the day are.
func keepSizes(result, to string) error {
	raw, err := os.ReadFile(result)
	if err != nil {
		return err
	}
	var day struct {
		Machines []struct {
			Name    string `json:"name"`
			Device  string `json:"device"`
			Entries int    `json:"entries"`
		} `json:"machines"`
	}
	if err := json.Unmarshal(raw, &day); err != nil {
		return err
	}
	if raw, err = json.MarshalIndent(day, "", "  "); err != nil {
		return err
	}
	return os.WriteFile(to, append(raw, '\n'), 0o644)
}

// copyFolder copies what a backup would.
func copyFolder(from, to string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		switch {
		case rel == "lock" || rel == "door.json" || strings.HasPrefix(rel, "index.db"): // made anew
			return nil
		case d.IsDir():
			return os.MkdirAll(filepath.Join(to, rel), 0o755)
		}
		return copyFile(path, filepath.Join(to, rel))
	})
}

func copyFile(from, to string) error {
	raw, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	return os.WriteFile(to, raw, 0o644)
}

// compact folds the write-ahead log in and leaves no free page.
func compact(file string) error {
	db, err := sql.Open("sqlite", file)
	if err != nil {
		return err
	}
	_, err = db.Exec("VACUUM")
	_, folded := db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	return errors.Join(err, folded, db.Close())
}
