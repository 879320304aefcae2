package main

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/media/mediatest"

	"github.com/rogpeppe/go-internal/testscript"
	_ "modernc.org/sqlite"
)

// tests are the tests of this package. The program that they start by this file's other name
// has flags of its own.
type tests struct{ *testing.M }

func (t tests) Run() int {
	journaltest.Roomy()
	return t.M.Run()
}

func TestMain(m *testing.M) {
	testscript.Main(tests{m}, map[string]func(){"fettlebook": main})
}

// TestScripts uses the program as a person does: command, exit code, standard
// output, standard error, files.
func TestScripts(t *testing.T) {
	scripts, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(scripts) < 40 {
		t.Fatalf("there are the scripts %q (%v)", scripts, err)
	}
	testscript.Run(t, testscript.Params{
		Files: journaltest.Rows(t, 4, scripts),
		Setup: func(e *testscript.Env) error {
			e.Setenv("FETTLEBOOK_DATA", filepath.Join(e.WorkDir, "shop"))
			e.Setenv("FETTLEBOOK_BY", "io")
			e.Setenv("TZ", "UTC")
			e.Setenv("GOGC", os.Getenv("GOGC"))
			e.Values[heldLock{}] = new(func() error)
			return nil
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":       exits,
			"refused":     refused,
			"picture":     picturefile,
			"keep":        keep,
			"settle":      settle,
			"fingerprint": fingerprint,
			"hold":        hold,
			"await":       await,
			"signed":      signed,
			"port":        port,
			"alter":       alter,
			"newer":       newer,
			"revoke":      revoke,
			"begin":       begin,
			"release":     release,
			"lose":        lose,
			"find":        find,
			"long":        longLog,
			"spoil":       spoil,
			"unpack":      unpack,
			"repeat":      repeat,
		},
	})
}

// long FILE N writes a recorder's file of N samples, a second apart.
func longLog(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	var b strings.Builder
	b.WriteString("s;thin °C;2 °C\n")
	for s := range n {
		fmt.Fprintf(&b, "%d;%d.%02d;%d.%02d\n", s, 20+s%180, s%100, 40+s%180, s%100)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(b.String()), 0o600))
}

// exits CODE PROGRAM ARGS… runs a program and demands an exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	var failed *exec.ExitError
	err = ts.Exec(args[1], args[2:]...)
	switch {
	case neg:
		ts.Fatalf("exits takes no !")
	case err == nil && want == 0:
	case !errors.As(err, &failed):
		ts.Fatalf("the program ended with %v and not with %d", err, want)
	case failed.ExitCode() != want:
		ts.Fatalf("the program ended with %d and not with %d", failed.ExitCode(), want)
	}
}

// refused CODE SENTENCE PROGRAM ARGS… is exits, and demands nothing on
// standard output, one sentence on standard error that the pattern fits, and
// that the shop's folder holds what it held.
func refused(ts *testscript.TestScript, neg bool, args []string) {
	dir := ts.Getenv("FETTLEBOOK_DATA")
	before := holding(ts, dir)
	exits(ts, neg, append([]string{args[0]}, args[2:]...))
	said := ts.ReadFile("stderr")
	switch ok, err := regexp.MatchString(args[1], said); {
	case err != nil:
		ts.Fatalf("%v", err)
	case !ok:
		ts.Fatalf("the sentence does not fit %s", args[1])
	case ts.ReadFile("stdout") != "":
		ts.Fatalf("something stands on standard output")
	case !strings.HasPrefix(said, "fettlebook: ") || strings.Count(said, "\n") != 1:
		ts.Fatalf("this is not one sentence on standard error")
	}
	if after := holding(ts, dir); after != before {
		ts.Fatalf("something was written: the folder held\n%s\nand holds\n%s", before, after)
	}
}

// holding lists what a data folder holds: its entries, cards and photos. A
// new tablet's folder holds nothing, with or without a database.
func holding(ts *testscript.TestScript, dir string) string {
	var b strings.Builder
	if info, err := os.Stat(folder.DatabasePath(dir)); err == nil && info.Size() > 0 {
		db := openRaw(ts, dir, "?mode=ro")
		defer db.Close()
		for _, table := range []string{"entries", "cards", "thumbs", "photos"} {
			var n int
			ts.Check(db.QueryRow("SELECT count(*) FROM " + table).Scan(&n))
			if n > 0 {
				fmt.Fprintf(&b, "%s: %d\n", table, n)
			}
		}
	}
	err := filepath.WalkDir(folder.PhotosPath(dir), func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			fmt.Fprintln(&b, "original:", d.Name())
		}
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return err
	})
	ts.Check(err)
	return b.String()
}

func openRaw(ts *testscript.TestScript, dir, query string) *sql.DB {
	db, err := sql.Open("sqlite", "file:"+(&url.URL{Path: folder.DatabasePath(dir)}).EscapedPath()+query)
	ts.Check(err)
	return db
}

// picture KIND FILE makes a picture, or what is none.
func picturefile(ts *testscript.TestScript, _ bool, args []string) {
	photo := mediatest.JPEG(mediatest.Corners(800, 600), 85, nil)
	file := ts.MkAbs(args[1])
	var raw []byte
	switch args[0] {
	case "photo":
		raw = photo
	case "other":
		raw = mediatest.JPEG(mediatest.Noise(320, 240, 1), 85, nil)
	case "png":
		raw = mediatest.PNG(mediatest.Corners(300, 200), nil)
	case "truncated":
		raw = photo[:len(photo)/2]
	case "tiff":
		raw = append([]byte("II*\x00"), make([]byte, 4096)...)
	case "huge":
		raw = mediatest.HeaderJPEG(60000, 60000)
	case "undecodable":
		raw = mediatest.HeaderPNG(16, 4000) // has rows for 16 only
	case "sparse": // as large as 100 MB, of which hardly any is on the disk
		ts.Check(os.WriteFile(file, photo, 0o600))
		ts.Check(os.Truncate(file, 100<<20))
		return
	default:
		ts.Fatalf("no picture is called %s", args[0])
	}
	ts.Check(os.WriteFile(file, raw, 0o600))
}

// keep NAME MEMBER sets a variable to a member of the JSON object on standard
// output, and writes it to a file of that name.
func keep(ts *testscript.TestScript, _ bool, args []string) {
	var o map[string]any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &o))
	text, ok := o[args[1]].(string)
	if !ok {
		ts.Fatalf("there is no text %s in %v", args[1], o)
	}
	ts.Setenv(args[0], text)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text+"\n"), 0o600))
}

// fingerprint NAME keeps the beginning of a fingerprint that was told on standard error.
func fingerprint(ts *testscript.TestScript, _ bool, args []string) {
	found := regexp.MustCompile(`[0-9a-f]{4}( [0-9a-f]{4}){3}`).FindString(ts.ReadFile("stderr"))
	if found == "" {
		ts.Fatalf("no fingerprint is told")
	}
	ts.Setenv(args[0], found)
}

// settle FILE writes standard output to a file, with what differs from run to
// run (job, run, card and entry names, times) always the same.
func settle(ts *testscript.TestScript, _ bool, args []string) {
	text := ts.ReadFile("stdout")
	for name, fixed := range map[string]string{"JOB": "4f7kk2m9", "RUN": "r0000001", "CARD": "c0000001"} {
		if drawn := ts.Getenv(name); drawn != "" {
			text = strings.ReplaceAll(text, drawn, fixed)
		}
	}
	for _, r := range []struct{ pattern, fixed string }{
		{`LAST ENTRY +`, "LAST ENTRY  "}, // as wide as the longest month
		{`\b\d{1,2} [A-Z][a-z]+ \d{4} \d\d:\d\d  +`, "2 March 2026 14:18  "},
		{`(?m)^( +)\d\d:\d\d  `, "${1}14:18  "},
		{`\b\d{1,2} [A-Z][a-z]+ \d{4}\b`, "2 March 2026"},
		{`[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}`, "0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d"},
	} {
		text = regexp.MustCompile(r.pattern).ReplaceAllString(text, r.fixed)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o600))
}

// heldLock is under what a script keeps how its lock is given back.
type heldLock struct{}

// hold takes the lock of the shop's folder until the script ends, as a
// program does that has no door.
func hold(ts *testscript.TestScript, _ bool, _ []string) {
	lock, err := folder.Lock(ts.Getenv("FETTLEBOOK_DATA"))
	ts.Check(err)
	unlock := sync.OnceValue(lock.Unlock)
	*ts.Value(heldLock{}).(*func() error) = unlock
	ts.Defer(func() { ts.Check(unlock()) })
}

// release gives the lock back that hold took.
func release(ts *testscript.TestScript, _ bool, _ []string) {
	ts.Check((*ts.Value(heldLock{}).(*func() error))())
}

// lose deletes an original out of a folder of them.
func lose(ts *testscript.TestScript, _ bool, args []string) {
	files, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "??", "*"))
	ts.Check(err)
	if len(files) == 0 {
		ts.Fatalf("there is no original in %s", args[0])
	}
	ts.Check(os.Remove(files[0]))
}

// await FILE waits until a file is there.
func await(ts *testscript.TestScript, _ bool, args []string) {
	deadline := time.After(3 * time.Minute)
	again := time.NewTicker(20 * time.Millisecond)
	defer again.Stop()
	for {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		select {
		case <-deadline:
			ts.Fatalf("%s did not come", args[0])
		case <-again.C:
		}
	}
}

// repeat PATTERN PROGRAM ARGS… runs a program again and again until its standard output
// fits the pattern.
func repeat(ts *testscript.TestScript, _ bool, args []string) {
	deadline := time.After(3 * time.Minute)
	again := time.NewTicker(100 * time.Millisecond)
	defer again.Stop()
	for {
		err := ts.Exec(args[1], args[2:]...)
		if ok, _ := regexp.MatchString(args[0], ts.ReadFile("stdout")); ok && err == nil {
			return
		}
		select {
		case <-deadline:
			ts.Fatalf("%s never came", args[0])
		case <-again.C:
		}
	}
}

// signed FOLDER KEY waits until a state in a folder has a line by the key.
func signed(ts *testscript.TestScript, _ bool, args []string) {
	name, _, _ := strings.Cut(args[1], "+")
	deadline := time.After(3 * time.Minute)
	again := time.NewTicker(20 * time.Millisecond)
	defer again.Stop()
	for {
		files, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "*.checkpoint"))
		ts.Check(err)
		for _, f := range files {
			raw, err := os.ReadFile(f)
			ts.Check(err)
			if strings.Contains(string(raw), "\n— "+name+" ") {
				return
			}
		}
		select {
		case <-deadline:
			ts.Fatalf("%s signed no state in %s", name, args[0])
		case <-again.C:
		}
	}
}

// begin NAME TEXT N sets a variable to the first characters of a text.
func begin(ts *testscript.TestScript, _ bool, args []string) {
	n, err := strconv.Atoi(args[2])
	ts.Check(err)
	ts.Setenv(args[0], args[1][:n])
}

// find NAME FILE PATTERN sets a variable to what the pattern's group finds in a file.
func find(ts *testscript.TestScript, _ bool, args []string) {
	found := regexp.MustCompile(args[2]).FindStringSubmatch(ts.ReadFile(args[1]))
	if len(found) < 2 {
		ts.Fatalf("%s is not in %s", args[2], args[1])
	}
	ts.Setenv(args[0], found[1])
}

// port NAME… sets variables to ports that are free now.
func port(ts *testscript.TestScript, _ bool, args []string) {
	for _, name := range args {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		ts.Check(err)
		defer l.Close() // only when all are drawn, so that none is drawn twice
		_, number, err := net.SplitHostPort(l.Addr().String())
		ts.Check(err)
		ts.Setenv(name, number)
	}
}

// alter FILE OLD NEW overwrites bytes of a file with as many others.
func alter(ts *testscript.TestScript, _ bool, args []string) {
	file, old, changed := ts.MkAbs(args[0]), []byte(args[1]), []byte(args[2])
	raw, err := os.ReadFile(file)
	ts.Check(err)
	if len(old) != len(changed) || !bytes.Contains(raw, old) {
		ts.Fatalf("%s holds no %q, or the other bytes are not as many", args[0], old)
	}
	ts.Check(os.WriteFile(file, bytes.ReplaceAll(raw, old, changed), 0o600))
}

// revoke NAME throws a tablet out, as the desk does.
func revoke(ts *testscript.TestScript, _ bool, args []string) {
	f, err := folder.Open(context.Background(), ts.Getenv("FETTLEBOOK_DATA"), folder.Options{Now: time.Now, Rand: rand.Reader})
	ts.Check(err)
	ts.Check(f.Folded.Follow(context.Background()))
	for _, d := range f.Folded.View(context.Background()).Shop.Devices {
		if d.Stated != nil && d.Stated.Name == args[0] {
			_, err = f.Append(context.Background(), journal.Draft{Subject: journal.Of("device", string(d.ID)), By: "io",
				Data: &journal.Revocation{Device: d.ID, Reason: "left on a car roof"}})
			ts.Check(err)
		}
	}
	ts.Check(f.Close())
}

// newer marks the shop's database as written by a newer fettlebook.
func newer(ts *testscript.TestScript, _ bool, _ []string) {
	db := openRaw(ts, ts.Getenv("FETTLEBOOK_DATA"), "")
	_, err := db.Exec("PRAGMA user_version = 99")
	ts.Check(errors.Join(err, db.Close()))
}

// spoil changes one byte of an original in the shop's folder.
func spoil(ts *testscript.TestScript, _ bool, _ []string) {
	files, err := filepath.Glob(filepath.Join(folder.PhotosPath(ts.Getenv("FETTLEBOOK_DATA")), "??", "*"))
	ts.Check(err)
	if len(files) == 0 {
		ts.Fatalf("there is no original to spoil")
	}
	raw, err := os.ReadFile(files[0])
	ts.Check(err)
	raw[len(raw)/2] ^= 1
	ts.Check(os.WriteFile(files[0], raw, 0o600))
}

// unpack ARCHIVE NAME FILE takes a file out of a ZIP archive.
func unpack(ts *testscript.TestScript, _ bool, args []string) {
	z, err := zip.OpenReader(ts.MkAbs(args[0]))
	ts.Check(err)
	defer z.Close()
	for _, f := range z.File {
		if f.Name == args[1] || strings.HasSuffix(f.Name, "/"+args[1]) {
			in, err := f.Open()
			ts.Check(err)
			raw, err := io.ReadAll(in)
			ts.Check(errors.Join(err, in.Close(), os.WriteFile(ts.MkAbs(args[2]), raw, 0o600)))
			return
		}
	}
	ts.Fatalf("%s is not in %s", args[1], args[0])
}
