package main

import (
	"errors"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit"
)

func TestDocuments(t *testing.T) {
	for name, c := range map[string]struct {
		in   string
		want string // where each stood, with ! where it was not an object
	}{
		"nothing":               {"", ""},
		"blank lines":           {"\n \n\t\r\n", ""},
		"lines":                 {"{}\n{\"a\":1}\n", "line 1, line 2"},
		"no newline at the end": {"{}\n{}", "line 1, line 2"},
		"blank between":         {"\n{}\n\n{}\n", "line 2, line 4"},
		"over several lines":    {"{\n\"a\":\n1}\n{}\n", "line 1, line 4"},
		"a bad line":            {"{}\nnonsense\n{}\n", "line 1, line 2!, line 3"},
		"no object":             {"7\n\"x\"\n{}\n", "line 1!, line 2!, line 3"},
		"two on a line":         {"{}{}\n{}\n", "line 1!, line 2"},
		"cut off, then good":    {"{\"a\":\n{}\n{}\n", "line 1!, line 3"},
		"cut off in a text":     {"{\"a\":\"b\n{}\n", "line 1!, line 2"},
		"cut off at the end":    {"{}\n{\"a\"", "line 1, line 2!"},
		"a list":                {"[{},{\"a\":1}]", "item 1, item 2"},
		"a list further down":   {"\n\n [\n{}\n,\n{}\n]\n", "item 1, item 2"},
		"an empty list":         {"[]", ""},
		"a list with others":    {"[{},7,{}]", "item 1, item 2!, item 3"},
		"a list cut off":        {"[{},{", "item 1, item 2!"},
		"a name twice":          {"{\"a\":1,\"a\":2}\n", "line 1"},
	} {
		t.Run(name, func(t *testing.T) {
			var got []string
			for d := range documents(strings.NewReader(c.in)) {
				at := d.at
				if d.err != nil {
					at += "!"
					if code := exit.Code(d.err); code != exit.Refused {
						t.Errorf("%s: exit code %d, want %d", at, code, exit.Refused)
					}
				}
				got = append(got, at)
			}
			if joined := strings.Join(got, ", "); joined != c.want {
				t.Errorf("got %s, want %s", joined, c.want)
			}
		})
	}
}

// A read that fails is not the end of the input.
func TestDocumentsOfABrokenPipe(t *testing.T) {
	broken := errors.New("the pipe broke")
	var last document
	for d := range documents(&failing{strings.NewReader("{}\n"), broken}) {
		last = d
	}
	if !errors.Is(last.err, broken) {
		t.Errorf("the last is %v, want %v", last.err, broken)
	}
}

type failing struct {
	*strings.Reader
	err error
}

func (f *failing) Read(p []byte) (int, error) {
	if f.Len() > 0 {
		return f.Reader.Read(p)
	}
	return 0, f.err
}

func FuzzDocuments(f *testing.F) {
	for _, seed := range []string{"{}\n{\"a\":1}", "[{},7", "{\n\"a\":\n", "\n\n[", "{\"a\":\"\n{}", "\xff{}"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		for d := range documents(strings.NewReader(string(in))) {
			if d.err == nil && (d.raw.Kind() != '{' || stateOf(d.raw) != complete) {
				t.Errorf("%s is %q, which is not an object", d.at, d.raw)
			}
		}
	})
}
