// Command fuzzing tries every decoder that reads what comes from outside: each Fuzz
// function of the module for a while, one after the other. It prints a row for each, and
// ends with 1 if one of them failed; the input that did it lies in the package's
// testdata/fuzz then, and goes with the fix.
//
//	go run ./testdata/fuzzing            # each for a minute
//	go run ./testdata/fuzzing -list      # only which there are, with how many inputs are kept
//	go run ./testdata/fuzzing -for 10s -only 'sync/|media'
package main

import (
	"context"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

func main() {
	each := flag.Duration("for", time.Minute, "how long each is tried")
	only := flag.String("only", "", "only those whose package or name this expression matches")
	list := flag.Bool("list", false, "only list them")
	parallel := flag.Int("parallel", runtime.GOMAXPROCS(0), "how many processors work at one")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *each, *only, *list, *parallel); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// target is one Fuzz function.
type target struct{ folder, name string }

func run(ctx context.Context, each time.Duration, only string, list bool, parallel int) error {
	match, err := regexp.Compile(only)
	if err != nil {
		return fmt.Errorf("-only: %w", err)
	}
	targets, err := find(".")
	if err != nil {
		return err
	}
	failed := 0
	for _, t := range targets {
		if !match.MatchString(t.folder + " " + t.name) {
			continue
		}
		verdict := ""
		if !list {
			if verdict, err = t.try(ctx, each, parallel); err != nil {
				failed++
				fmt.Fprintln(os.Stderr, err)
			}
		}
		fmt.Printf("%-36s %-22s %4d kept  %s\n", t.folder, t.name, t.kept(), verdict)
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	if failed > 0 {
		return fmt.Errorf("%d failed", failed)
	}
	return nil
}

// find lists the Fuzz functions below a folder, by folder and name.
func find(root string) (list []target, err error) {
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || len(d.Name()) > 1 && strings.HasPrefix(d.Name(), ".")):
			return filepath.SkipDir
		case !strings.HasSuffix(path, "_test.go"):
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, decl := range file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok && f.Recv == nil && strings.HasPrefix(f.Name.Name, "Fuzz") {
				list = append(list, target{filepath.ToSlash(filepath.Dir(path)), f.Name.Name})
			}
		}
		return nil
	})
	slices.SortFunc(list, func(a, b target) int { return strings.Compare(a.folder+" "+a.name, b.folder+" "+b.name) })
	return list, err
}

// kept is how many inputs lie beside a target, besides those in its code.
func (t target) kept() int {
	files, err := os.ReadDir(filepath.Join(t.folder, "testdata", "fuzz", t.name))
	if err != nil {
		return 0
	}
	return len(files)
}

// minimizing is how long an input that found something new is made shorter. By itself that
// goes on for a minute, in which a large one, a dossier or a photograph, is all that is tried.
const minimizing = "500ms"

// try fuzzes a target and returns the last word of that.
func (t target) try(ctx context.Context, each time.Duration, parallel int) (string, error) {
	cmd := exec.CommandContext(ctx, "go", "test", "./"+t.folder, "-run", "^$", "-fuzz", "^"+t.name+"$", "-fuzztime", each.String(),
		"-fuzzminimizetime", minimizing, "-parallel", strconv.Itoa(parallel))
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	out, err := cmd.CombinedOutput()
	if err != nil {
		return "failed", fmt.Errorf("%s %s: %w\n%s", t.folder, t.name, err, out)
	}
	last := "found nothing"
	for line := range strings.Lines(string(out)) {
		if strings.HasPrefix(line, "fuzz: elapsed") {
			last = strings.TrimSpace(strings.TrimPrefix(line, "fuzz: "))
		}
	}
	return last, nil
}
