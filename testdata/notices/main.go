// Command notices gathers the licences of all that is in the program fettlebook: Go's own
// library, the modules that it is built of on any of its systems, and the letters of its
// pages and papers.
//
//	go run ./testdata/notices cmd/fettlebook/notices.txt
//
// Run it when a module came, went or has another version; a test says so.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: notices FILE")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "notices:", err)
		os.Exit(1)
	}
}

// owed is a text with all whose licence it is.
type owed struct {
	of   []string
	text string
}

func write(file string) error {
	texts, err := gather()
	if err != nil {
		return err
	}
	var out bytes.Buffer
	out.WriteString("fettlebook holds work of others, under these licences.\n")
	for _, o := range texts {
		fmt.Fprintf(&out, "\n%s\n", strings.Repeat("=", 72))
		for _, name := range o.of {
			fmt.Fprintf(&out, "== %s\n", name)
		}
		fmt.Fprintf(&out, "\n%s\n", strings.TrimRight(o.text, "\n"))
	}
	return os.WriteFile(file, out.Bytes(), 0o644)
}

// gather reads the texts, each once, by the first whose it is.
func gather() ([]owed, error) {
	dirs, err := built()
	if err != nil {
		return nil, err
	}
	root, err := command("", "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	dirs["Go's standard library"] = map[string]bool{strings.TrimSpace(string(root)): true}
	dirs["the letters of the pages"] = map[string]bool{filepath.Join("cmd", "internal", "pages", "assets", "fonts"): true}
	dirs["the letters of the papers"] = map[string]bool{filepath.Join("cmd", "internal", "paper", "fonts"): true}
	whose := make(map[string][]string)
	for name, of := range dirs {
		found := false
		for dir := range of {
			files, err := os.ReadDir(dir)
			if err != nil {
				return nil, err
			}
			for _, f := range files {
				if f.IsDir() || !licence(f.Name()) {
					continue
				}
				raw, err := os.ReadFile(filepath.Join(dir, f.Name()))
				if err != nil {
					return nil, err
				}
				found = true
				text := plain(string(raw))
				if !slices.Contains(whose[text], name) {
					whose[text] = append(whose[text], name)
				}
			}
		}
		if !found {
			return nil, fmt.Errorf("%s has no licence in %v", name, of)
		}
	}
	var list []owed
	for text, of := range whose {
		slices.Sort(of)
		list = append(list, owed{of, text})
	}
	slices.SortFunc(list, func(a, b owed) int {
		if c := strings.Compare(a.of[0], b.of[0]); c != 0 {
			return c
		}
		return strings.Compare(a.text, b.text)
	})
	return list, nil
}

// licence reports whether a file says under what it may be used.
func licence(name string) bool {
	name = strings.ToLower(name)
	return !strings.HasSuffix(name, ".go") && slices.ContainsFunc([]string{"license", "licence", "copying", "notice", "patents", "copyright"}, func(begin string) bool {
		return strings.HasPrefix(name, begin)
	})
}

// plain is a text with the line ends of this one and no blanks at theirs.
func plain(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t\f")
	}
	return strings.TrimSpace(strings.Join(lines, "\n"))
}

// built lists the modules of the program, with the folders in which its packages lie and
// those above them.
func built() (map[string]map[string]bool, error) {
	dirs := make(map[string]map[string]bool)
	for _, target := range []string{"linux/amd64", "linux/arm", "linux/arm64", "windows/amd64", "darwin/arm64"} {
		system, arch, _ := strings.Cut(target, "/")
		raw, err := command("CGO_ENABLED=0 GOOS="+system+" GOARCH="+arch, "go", "list", "-deps", "-json=Dir,Module", "./cmd/fettlebook")
		if err != nil {
			return nil, err
		}
		for in := json.NewDecoder(bytes.NewReader(raw)); ; {
			var p struct {
				Dir    string
				Module *struct {
					Path, Version, Dir string
					Main               bool
				}
			}
			if err := in.Decode(&p); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				return nil, err
			}
			if p.Module == nil || p.Module.Main {
				continue
			}
			name := p.Module.Path + " " + p.Module.Version
			if dirs[name] == nil {
				dirs[name] = make(map[string]bool)
			}
			for dir := p.Dir; ; dir = filepath.Dir(dir) {
				dirs[name][dir] = true
				if dir == p.Module.Dir {
					break
				}
			}
		}
	}
	return dirs, nil
}

func command(env, name string, args ...string) ([]byte, error) {
	cmd := exec.Command(name, args...)
	cmd.Env, cmd.Stderr = append(os.Environ(), strings.Fields(env)...), os.Stderr
	return cmd.Output()
}
