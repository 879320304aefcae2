package verdict

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/qrread"
	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// Of checks a dossier that can be read at any place, against what is trusted. The error is an [*code.Error] if the file is refused.
func Of(ctx context.Context, r io.ReaderAt, size int64, by evidence.Trusted, progress func(done, all int64)) (evidence.Findings, error) {
	b, err := bag.Open(r, size)
	if err != nil {
		return evidence.Findings{}, said(err)
	}
	all := b.Size()
	f, err := evidence.Verify(ctx, b, by, func(done int64) {
		if progress != nil {
			progress(done, all)
		}
	})
	return f, said(err)
}

// OfFile is [Of] a file.
func OfFile(ctx context.Context, name string, by evidence.Trusted, progress func(done, all int64)) (f evidence.Findings, err error) {
	file, err := os.Open(name)
	if err != nil {
		return f, &code.Error{Status: code.NotFound, Sentence: fmt.Sprintf("There is no file %s, or it cannot be read.", name), Err: err}
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	info, err := file.Stat()
	if err != nil {
		return f, err
	}
	if !info.Mode().IsRegular() {
		return f, &code.Error{Status: code.Refused, Sentence: fmt.Sprintf("%s is not a file. If it is the unpacked folder of a dossier, pack that folder into a ZIP file first.", name)}
	}
	return Of(ctx, file, info.Size(), by, progress)
}

// said gives an error its code.
func said(err error) error {
	var refused *bag.Refusal
	switch {
	case errors.As(err, &refused):
		return &code.Error{Status: code.Refused, Sentence: refused.Says, Err: err}
	case errors.Is(err, journal.ErrNewer):
		return &code.Error{Status: code.Newer, Sentence: "This dossier was made by a newer fettlebook. Check it with that version or a later one.", Err: err}
	default:
		return err
	}
}

// Receipt reads a receipt that is given as its text, or as the name of a file
// that holds the text or a picture of its code; nil if nothing is given.
func Receipt(given string) (*evidence.Receipt, error) {
	raw, err := head(given)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ReceiptText(given)
	case err != nil:
		return nil, &code.Error{Status: code.Refused, Sentence: fmt.Sprintf("The receipt %s cannot be read.", given), Err: err}
	}
	r, err := ReceiptOf(raw)
	switch {
	case err != nil:
		return nil, &code.Error{Status: code.Refused, Sentence: fmt.Sprintf("%s: %s", given, err), Err: err}
	case r == nil:
		return nil, &code.Error{Status: code.Refused, Sentence: fmt.Sprintf("The receipt %s is empty.", given)}
	}
	return r, nil
}

// head reads a file that may be a receipt's.
func head(name string) ([]byte, error) {
	if len(name) > longestName || name == "" {
		return nil, fs.ErrNotExist
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, qrread.MaxBytes+1))
}

// longestName is longer than names of files are, and shorter than receipts.
const longestName = 200

// ReceiptOf reads a receipt from a file's bytes: its text, or a picture of its
// code.
func ReceiptOf(raw []byte) (*evidence.Receipt, error) {
	_, err := media.FormatOf(raw[:min(len(raw), media.HeadLen)])
	var no *media.Refused
	switch {
	case err == nil:
		text, err := qrread.Text(raw)
		if err != nil {
			return nil, &code.Error{Status: code.Refused, Sentence: words.Sentence(err.Error()), Err: err}
		}
		return ReceiptText(text)
	case bytes.HasPrefix(raw, []byte("%PDF-")):
		return nil, &code.Error{Status: code.Refused, Err: err, Sentence: fmt.Sprintf("This is a PDF. Copy the text at its foot that begins with “%s”, or take a picture of its code.", evidence.ReceiptForm)}
	case bytes.HasPrefix(bytes.TrimSpace(raw[:min(len(raw), media.HeadLen)]), []byte("<")):
		return nil, &code.Error{Status: code.Refused, Err: err, Sentence: fmt.Sprintf("This is a web page. Copy the text at its foot that begins with “%s”, or take a picture of its code.", evidence.ReceiptForm)}
	case errors.As(err, &no) && no.Reason == media.WrongFormat:
		return nil, &code.Error{Status: code.Refused, Err: err, Sentence: fmt.Sprintf("%s. Save it as JPEG or PNG, or copy the text at the foot of the receipt that begins with “%s”.", words.Capital(no.What), evidence.ReceiptForm)}
	}
	return ReceiptText(string(raw))
}

// ReceiptText reads a receipt's text; nil if there is none.
func ReceiptText(text string) (*evidence.Receipt, error) {
	if text == "" {
		return nil, nil
	}
	r, err := evidence.ParseReceipt(text)
	if err != nil {
		return nil, &code.Error{Status: code.Refused, Sentence: words.Sentence(err.Error()), Err: err}
	}
	return &r, nil
}

// ExitCode is how a program ends that found this.
func ExitCode(f evidence.Findings) int {
	if f.Verdict == evidence.No {
		return code.Damaged
	}
	return code.OK
}
