package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit"

	"github.com/alecthomas/kong"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// What commands report as JSON says in what format it is, and fits the schema that is printed
// of it: on the data folders of a day that was played.
func TestReports(t *testing.T) {
	t.Parallel()
	hub := filepath.Join(t.TempDir(), "hub")
	if err := os.CopyFS(hub, os.DirFS(filepath.Join("..", "..", "testdata", "folders", "second", "hub"))); err != nil {
		t.Fatal(err)
	}
	seen := make(map[string]bool)
	ask := func(of string, args ...string) map[string]any {
		t.Helper()
		var out, errs bytes.Buffer
		code := run(t.Context(), append(args, "--json", "--data", hub), strings.NewReader(""), &out, &errs)
		if code != exit.OK && code != exit.Damaged { // the originals are not kept
			t.Errorf("%v ends with %d: %s", args, code, &errs)
			return nil
		}
		conforms(t, of, out.Bytes())
		seen[of] = true
		var o map[string]any
		if err := json.Unmarshal(out.Bytes(), &o); err != nil || o["format"] != formatOf(of) && !reports()[of].itself {
			t.Errorf("%s: %v, format %v", of, err, o["format"])
		}
		return o
	}
	jobs := ask("jobs", "jobs", "--all")["list"].([]any)
	if len(jobs) < 2 {
		t.Fatalf("the day has the jobs %v", jobs)
	}
	for _, j := range jobs {
		job := j.(map[string]any)["job"].(string)
		ask("record", "record", job)
		ask("holds", "holds", job)
		ask("next", "next", job)
	}
	first := jobs[0].(map[string]any)["job"].(string)
	ask("record with customers", "record", first, "--customer")
	ask("due", "due", "--all")
	ask("trace", "trace", first)
	ask("parts", "parts")
	ask("recur", "recur", "--defect", "pinhole")
	ask("route facts", "route", "facts")
	ask("route list", "route", "list")
	ask("route diff", "route", "diff", "caliper", "arm")
	ask("audit", "audit")
	ask("audit --against", "audit", "--against", filepath.Join("..", "..", "testdata", "folders", "second", "bench-1"))
	ask("name", "name", "io")
	ask("version", "version", "--hash")
	ask("schema", "schema")
	ask("figure", "figure", "vin", "1M8GDM9AXKP042788")
	ask("photos show", "photos", "show")
	ask("hub tablets", "hub", "tablets")
	ask("hub address", "hub", "address")
	opened := ask("open", "open", "--plate", "FB 204", "--corner", "LF", "--by", "io")
	claim := command(t, "", "add", "claim.opened", "--job", opened["job"].(string), "--by", "io", "--data", hub, "--json", "says=the left rear squeals")
	var entry struct{ ID string }
	if err := json.Unmarshal([]byte(claim), &entry); err != nil {
		t.Fatal(err)
	}
	ask("claim", "claim", entry.ID)
	ask("hub keys", "hub", "keys")
	ask("hub invite", "hub", "invite", "--by", "io", "--name", "bench 3")
	ask("backup", "backup", filepath.Join(t.TempDir(), "copies"))
	zip := filepath.Join(t.TempDir(), "dossier.zip")
	command(t, "", "dossier", first, "--data", hub, "--photos", "none", "-o", zip)
	ask("verify", "verify", zip)
	if got, want := slices.Sorted(maps.Keys(seen)), slices.Sorted(maps.Keys(reports())); !slices.Equal(got, want) {
		t.Errorf("looked at %v, and there are %v", got, want)
	}
}

// conforms holds what a command printed against its schema.
func conforms(t *testing.T, of string, printed []byte) {
	t.Helper()
	var text bytes.Buffer
	if err := reports()[of].printSchema(&text, of); err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(&text)
	if err != nil {
		t.Fatalf("%s: %v", of, err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("urn:report", doc); err != nil {
		t.Fatalf("%s: %v", of, err)
	}
	schema, err := c.Compile("urn:report")
	if err != nil {
		t.Fatalf("%s: %v", of, err)
	}
	is, err := jsonschema.UnmarshalJSON(bytes.NewReader(printed))
	if err != nil {
		t.Fatalf("%s: %v", of, err)
	}
	if err := schema.Validate(is); err != nil {
		t.Errorf("%s: %v", of, err)
	}
	// The schema says something: what is of another form does not fit it.
	for _, wrong := range []any{"text", map[string]any{}, map[string]any{"format": 7.0}} {
		if schema.Validate(wrong) == nil {
			t.Errorf("%s: %v fits", of, wrong)
		}
	}
}

// Every command that prints JSON for programs has a schema, but for those that print an
// entry as it lies in the log.
func TestEveryReportHasASchema(t *testing.T) {
	var c commands
	parser, err := kong.New(&c, kong.Name("fettlebook"))
	if err != nil {
		t.Fatal(err)
	}
	entries := []string{"add", "correct", "log", "demo"} // demo: how its machines stand
	for _, leaf := range parser.Model.Leaves(false) {
		hasJSON := slices.ContainsFunc(leaf.Flags, func(f *kong.Flag) bool { return f.Name == "json" })
		name := strings.TrimSpace(strings.TrimPrefix(leaf.FullPath(), "fettlebook"))
		if f, _, ok := strings.Cut(name, " "); ok && f == "figure" {
			name = f
		}
		if _, ok := reports()[name]; hasJSON && !ok && !slices.Contains(entries, name) {
			t.Errorf("%s --json has no schema", name)
		}
	}
	for of, r := range reports() {
		if r.of.Kind() == reflect.Invalid {
			t.Error(of)
		}
	}
}
