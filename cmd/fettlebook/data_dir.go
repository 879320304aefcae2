package main

import (
	"os"
	"path/filepath"
	"runtime"

	"fettlebook/cmd/internal/folder"
)

// nearData is the data folder of who keeps it beside their work.
const nearData = "fettlebook-data"

// dataDir is the data folder of who names none: the one here if there is one, else that in
// the person's own data directory.
func dataDir() string {
	if _, err := folder.ReadIdentity(nearData); err == nil {
		return absolute(nearData)
	}
	home, err := os.UserHomeDir()
	if dir := ownData(runtime.GOOS, home, os.Getenv); err == nil && dir != "" {
		return dir
	}
	return absolute(nearData)
}

func absolute(dir string) string {
	if full, err := filepath.Abs(dir); err == nil {
		return full
	}
	return dir
}

// ownData is where a system has the data that programs keep for a person; "" if it does not
// say. (XDG Base Directory Specification 0.8; Apple, File System Programming Guide;
// Microsoft, Known Folders.)
func ownData(system, home string, env func(string) string) string {
	in := env("XDG_DATA_HOME")
	switch system {
	case "windows":
		in = env("LocalAppData")
	case "darwin":
		in = filepath.Join(home, "Library", "Application Support")
	default:
		if !filepath.IsAbs(in) { // which the specification has programs ignore
			in = filepath.Join(home, ".local", "share")
		}
	}
	if in == "" || home == "" {
		return ""
	}
	return filepath.Join(in, "fettlebook")
}
