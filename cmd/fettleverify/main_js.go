package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall/js"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/qrread"
	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal/evidence"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// main gives the page its functions: fettleverify(file, receipt, authorities, progress)
// promises {"exit": …, "findings": {…}} or {"exit": …, "refused": "…"} as text,
// fettlereceipt(file), of a picture of a receipt's code, {"text": "…"} or
// {"refused": "…"}.
func main() {
	js.Global().Set("fettleverify", js.FuncOf(func(_ js.Value, args []js.Value) any {
		file, receipt, authorities, progress := args[0], args[1].String(), args[2].String(), args[3]
		return promise(func() string { return answer(file, receipt, authorities, progress) })
	}))
	js.Global().Set("fettlereceipt", js.FuncOf(func(_ js.Value, args []js.Value) any {
		file := args[0]
		return promise(func() string { return encoded(coded(file)) })
	}))
	select {}
}

// read is what a file gives of a receipt.
type read struct {
	Text    string `json:"text,omitzero"`
	Refused string `json:"refused,omitzero"`
}

// coded reads the receipt's text out of a picture, or a file that holds it.
func coded(file js.Value) read {
	size := int64(file.Get("size").Float())
	raw, err := io.ReadAll(io.NewSectionReader(&blob{file: file, size: size}, 0, min(size, qrread.MaxBytes+1)))
	if err != nil {
		return read{Refused: words.Sentence(err.Error())}
	}
	receipt, err := verdict.ReceiptOf(raw)
	switch {
	case err != nil:
		return read{Refused: err.Error()}
	case receipt == nil:
		return read{Refused: "This file is empty."}
	}
	return read{Text: receipt.String()}
}

// answered is what the page is promised.
type answered struct {
	Exit     int                `json:"exit"`
	Refused  string             `json:"refused,omitzero"`
	Findings *evidence.Findings `json:"findings,omitzero"`
}

func answer(file js.Value, receipt, authorities string, progress js.Value) string {
	var a answered
	f, err := check(file, receipt, authorities, progress)
	var known *code.Error
	switch {
	case errors.As(err, &known):
		a.Exit, a.Refused = known.Status, known.Sentence
	case err != nil:
		a.Exit, a.Refused = code.Trouble, err.Error()
	default:
		a.Exit, a.Findings = verdict.ExitCode(f), &f
	}
	return encoded(a)
}

// encoded is what the page is promised, as text.
func encoded(a any) string {
	raw, err := json.Marshal(a, json.Deterministic(true))
	if err != nil {
		return fmt.Sprintf(`{"exit":%d,"refused":"What was found cannot be written."}`, code.Trouble)
	}
	return words.Seen(string(raw))
}

func check(file js.Value, given, authorities string, progress js.Value) (evidence.Findings, error) {
	var by evidence.Trusted
	var err error
	if by.Receipt, err = verdict.ReceiptText(strings.TrimSpace(given)); err != nil {
		return evidence.Findings{}, err
	}
	if by.Authorities, err = verdict.Authorities([]byte(authorities)); err != nil {
		return evidence.Findings{}, err
	}
	size := int64(file.Get("size").Float())
	return verdict.Of(context.Background(), &blob{file: file, size: size}, size, by, func(done, all int64) {
		progress.Invoke(float64(done), float64(all))
	})
}

// promise runs work beside the page and promises what it returns.
func promise(work func() string) js.Value {
	var executor js.Func
	executor = js.FuncOf(func(_ js.Value, args []js.Value) any {
		resolve := args[0]
		go func() {
			defer executor.Release()
			resolve.Invoke(work())
		}()
		return nil
	})
	return js.Global().Get("Promise").New(executor)
}

// block is how much of the file is read at once, so that a browser is not asked
// for every few bytes.
const block = 1 << 20

// blob reads a file that was dropped on the page; it is never in memory whole.
type blob struct {
	file js.Value
	size int64
	from int64
	held []byte
}

// ReadAt implements io.ReaderAt, for one reader at a time.
func (b *blob) ReadAt(p []byte, at int64) (n int, err error) {
	for n < len(p) {
		if at >= b.size {
			return n, io.EOF
		}
		if at < b.from || at >= b.from+int64(len(b.held)) {
			if err := b.load(at / block * block); err != nil {
				return n, err
			}
		}
		copied := copy(p[n:], b.held[at-b.from:])
		n, at = n+copied, at+int64(copied)
	}
	return n, nil
}

func (b *blob) load(from int64) error {
	part := b.file.Call("slice", float64(from), float64(min(from+block, b.size)))
	buffer, err := await(part.Call("arrayBuffer"))
	if err != nil {
		return err
	}
	bytes := js.Global().Get("Uint8Array").New(buffer)
	b.from, b.held = from, make([]byte, bytes.Length())
	js.CopyBytesToGo(b.held, bytes)
	if len(b.held) == 0 {
		return io.ErrUnexpectedEOF
	}
	return nil
}

// errFile says that the browser could not read the file.
var errFile = errors.New("the file cannot be read; choose it again")

func await(promise js.Value) (js.Value, error) {
	type settled struct {
		value js.Value
		err   error
	}
	done := make(chan settled, 1)
	good := js.FuncOf(func(_ js.Value, args []js.Value) any { done <- settled{value: args[0]}; return nil })
	bad := js.FuncOf(func(js.Value, []js.Value) any { done <- settled{err: errFile}; return nil })
	defer good.Release()
	defer bad.Release()
	promise.Call("then", good, bad)
	s := <-done
	return s.value, s.err
}
