//go:build linux

package main

import (
	"bytes"
	"context"
	"go/build"
	"image"
	"image/png"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/journaltest"
	"fettlebook/media"
	"fettlebook/media/mediatest"

	"github.com/gen2brain/jpegn"
)

// asProgram has a test binary be the program, and write what it knows of its
// memory into the file that is named.
const asProgram = "FETTLEVERIFY_MEMORY"

func TestMain(m *testing.M) {
	needs := os.Getenv(asProgram)
	if needs == "" {
		os.Exit(m.Run())
	}
	status := run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)
	known, err := os.ReadFile("/proc/self/status")
	if err == nil {
		err = os.WriteFile(needs, known, 0o600)
	}
	if err != nil {
		status = code.Trouble
	}
	os.Exit(status)
}

// What the program must not hold: whoever keeps it for years needs none of it.
func TestHoldsNothingOfTheShop(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	deps := strings.Fields(string(out))
	if !slices.Contains(deps, "fettlebook/journal/evidence") {
		t.Fatalf("the list of what it holds is wrong: %v", deps)
	}
	for _, d := range deps {
		for _, no := range []string{"nats", "sqlite", "cel.dev", "antlr", "sync/", "fettlebook/sync", "journal/record", "journal/facts", "journal/route", "journal/shop", "journal/card", "kong", "net/http", "testing"} {
			if strings.Contains(d, no) && !isStd(d, no) {
				t.Errorf("it holds %s", d)
			}
		}
	}
}

// isStd reports whether a package is the standard library's own sync and the
// like.
func isStd(path, no string) bool {
	p, err := build.Import(path, "", build.FindOnly)
	return err == nil && p.Goroot && no == "sync/"
}

// built builds the program as it is given away.
func built(t testing.TB) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "fettleverify")
	cmd := exec.Command("go", "build", "-ldflags", "-s -w", "-o", name, ".")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return name
}

// mostMemory is what it may need for any file.
const mostMemory = 150 << 20

// The program that is given away is small, says of each file what the package
// says, and needs little memory for those that are made to do harm.
func TestProgram(t *testing.T) {
	name := built(t)
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	if most := int64(8 << 20); info.Size() >= most {
		t.Errorf("the program has %d bytes, not less than %d", info.Size(), most)
	}
	t.Run("tampered", func(t *testing.T) {
		h := evidencetest.New(t, "program", 5)
		for i, way := range journaltest.Rows(t, 4, append(evidencetest.Tamperings(), evidencetest.Tampering{Name: "honest", Do: func(*evidencetest.Tampered) {}})) {
			receipt := h.Receipt()
			x := &evidencetest.Tampered{T: t, H: h, D: h.Dossier(evidencetest.Options{Card: true}), Dice: rand.New(rand.NewPCG(uint64(i), 3)), Receipt: &receipt}
			way.Do(x)
			if x.Packed == nil {
				x.Packed = x.D.Pack()
			}
			file := written(t, x.Packed)
			want, err := verdict.Of(context.Background(), bytes.NewReader(x.Packed), int64(len(x.Packed)), evidence.Trusted{Receipt: x.Receipt}, nil)
			if err != nil {
				t.Fatal(err)
			}
			var line bytes.Buffer
			if err := verdict.WriteJSON(&line, want); err != nil {
				t.Fatal(err)
			}
			ran := exec.Command(name, file, "--json", "--receipt", x.Receipt.String())
			out, _ := ran.Output()
			if string(out) != line.String() || ran.ProcessState.ExitCode() != verdict.ExitCode(want) {
				t.Errorf("%s: the program ends with %d and says\n%s\nwant\n%s", way.Name, ran.ProcessState.ExitCode(), out, line.String())
			}
		}
	})
	t.Run("hostile", func(t *testing.T) {
		for _, h := range evidencetest.HostileFiles() {
			want := code.Refused
			if h.Refused == "" {
				want = code.Damaged
			}
			ends(t, h.Name, h.Make(t), want)
		}
	})
	t.Run("large", func(t *testing.T) {
		d := evidencetest.New(t, "large", 400).Dossier(evidencetest.Options{})
		large := 0
		for i := range d.About.Photos {
			if p := &d.About.Photos[i]; p.Original && large < 60 {
				large++
				path := evidence.OriginalPath(p.Ref, p.Ext)
				whole := append(d.Files[path], bytes.Repeat([]byte{byte(i)}, 4<<20)...)
				delete(d.Files, path)
				p.Original, p.Copy = false, media.RefOf(whole)
				d.Files[evidence.CopyPath(p.Ref, p.Ext)] = whole
			}
		}
		ends(t, "large", d.Pack(), code.OK)
	})
	t.Run("receipt", func(t *testing.T) {
		file := evidencetest.New(t, "receipt", 3).Dossier(evidencetest.Options{}).Pack()
		for what, picture := range map[string]func(io.Writer) error{
			"a progressive picture of 6 megapixels": func(w io.Writer) error {
				return jpegn.Encode(w, mediatest.Noise(2400, 2400, 1), &jpegn.EncodeOptions{Quality: 50, Subsampling: jpegn.Subsample444, Progressive: true})
			},
			"a PNG of 14 megapixels": func(w io.Writer) error {
				return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, image.NewNRGBA(image.Rect(0, 0, 4000, 3550)))
			},
		} {
			var raw bytes.Buffer
			if err := picture(&raw); err != nil {
				t.Fatal(err)
			}
			ends(t, what, file, code.Refused, "--receipt", written(t, raw.Bytes()))
		}
	})
}

// ends runs the program on a file and holds how it ends and what it needs.
func ends(t *testing.T, what string, file []byte, want int, args ...string) {
	t.Helper()
	ran := exec.Command(os.Args[0], append(args, written(t, file))...)
	needs := filepath.Join(t.TempDir(), "memory")
	ran.Env = append(os.Environ(), asProgram+"="+needs)
	said, _ := ran.CombinedOutput()
	if ran.ProcessState.ExitCode() != want || len(said) < 20 {
		t.Errorf("%s: ends with %d, want %d: %s", what, ran.ProcessState.ExitCode(), want, said)
	}
	used := memory(t, needs)
	if used > mostMemory {
		t.Errorf("%s: it needed %d MiB", what, used>>20)
	}
	t.Logf("%s: %d MiB", what, used>>20)
}

func written(t testing.TB, raw []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "dossier.zip")
	if err := os.WriteFile(name, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func TestCommandLine(t *testing.T) {
	h := evidencetest.New(t, "line", 3)
	file := written(t, h.Dossier(evidencetest.Options{}).Pack())
	bad := written(t, evidencetest.Repack(t, h.Dossier(evidencetest.Options{}).Pack(), func(name string, raw []byte) []byte {
		if strings.HasSuffix(name, evidence.EntryPath(h.Wrote)) {
			return append(raw, ' ')
		}
		return raw
	}))
	paper := filepath.Join(t.TempDir(), "receipt.txt")
	text := strings.ReplaceAll(h.Receipt().String(), " ", "\n")
	if err := os.WriteFile(paper, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{file}, code.OK, "No receipt was given"},
		{[]string{file, "--receipt", text}, code.OK, "Every question is answered with yes."},
		{[]string{"--receipt=" + paper, file}, code.OK, "Every question is answered with yes."},
		{[]string{"--authority", paper, file}, code.Refused, "These are not the root certificates"},
		{[]string{"--authority", file + ".no", file}, code.NotFound, "There is no file"},
		{[]string{"--receipt", "hello", file}, code.Refused, "This is not the text of a receipt"},
		{[]string{"--receipt", file, file}, code.Refused, "This is not the text of a receipt"},
		{[]string{bad}, code.Damaged, evidence.EntryPath(h.Wrote)},
		{[]string{file + ".no"}, code.NotFound, "There is no file"},
		{[]string{filepath.Dir(file)}, code.Refused, "pack that folder into a ZIP file"},
		{[]string{paper}, code.Refused, "This file is not"},
		{nil, code.Usage, "Usage:"},
		{[]string{file, file}, code.Usage, "Usage:"},
		{[]string{"--nonsense", file}, code.Usage, "Usage:"},
		{[]string{"--help"}, code.OK, "Exit codes:"},
	} {
		var out, errOut bytes.Buffer
		status := run(context.Background(), c.args, &out, &errOut)
		if said := out.String() + errOut.String(); status != c.status || !strings.Contains(strings.Join(strings.Fields(said), " "), c.says) {
			t.Errorf("%q ends with %d and says\n%s\nwant %d and %q", c.args, status, said, c.status, c.says)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if status := run(ctx, []string{file}, new(bytes.Buffer), new(bytes.Buffer)); status != code.Trouble {
		t.Errorf("after it was cancelled it ends with %d", status)
	}
}
