//go:build !js

package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"

	"fettlebook/cmd/internal/exit/code"
	"fettlebook/cmd/internal/verdict"
)

const usage = `Usage: fettleverify [--receipt TEXT|FILE|PICTURE] [--authority FILE.pem] [--json] DOSSIER.zip

Checks a dossier and answers, each by itself: whether the files are as they
were packed; whether every entry is in a log that a device of the shop signed;
whether and when the hub countersigned; whether it agrees with the customer’s
receipt; whether anything is left out up to the seal; whether the photographs
are the ones cited; what was added after handover; and what cannot be known.
It needs no network.

  --receipt    the text at the foot of the receipt, a file that holds it, or a
               picture of its code
  --authority  the root certificates, as PEM, under which a timestamp
               authority’s certificate has to be issued; left out, that is not
               checked
  --json       print all findings as JSON

Exit codes:
  0  nothing in the file contradicts itself or the receipt
  2  the command line is wrong
  3  the file is refused: it is not a dossier, or made to do harm
  4  no such file
  6  damage or tampering was found
  8  the dossier was made by a newer fettlebook
`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	status := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	flags := flag.NewFlagSet("fettleverify", flag.ContinueOnError)
	flags.SetOutput(errOut)
	flags.Usage = func() { fmt.Fprint(flags.Output(), usage) }
	given := flags.String("receipt", "", "")
	roots := flags.String("authority", "", "")
	asJSON := flags.Bool("json", false, "")
	var files []string
	for {
		if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
			return code.OK
		} else if err != nil {
			return code.Usage
		}
		if flags.NArg() == 0 {
			break
		}
		files, args = append(files, flags.Arg(0)), flags.Args()[1:]
	}
	if len(files) != 1 {
		flags.Usage()
		return code.Usage
	}
	status, err := check(ctx, files[0], *given, *roots, *asJSON, out)
	if err != nil {
		fmt.Fprintln(errOut, "fettleverify:", err)
	}
	return status
}

func check(ctx context.Context, name, given, roots string, asJSON bool, out io.Writer) (int, error) {
	by, err := verdict.Trusted(given, roots)
	if err != nil {
		return coded(err), err
	}
	f, err := verdict.OfFile(ctx, name, by, nil)
	if err != nil {
		return coded(err), err
	}
	write := verdict.WriteText
	if asJSON {
		write = verdict.WriteJSON
	}
	if err := write(out, f); err != nil {
		return code.Trouble, err
	}
	return verdict.ExitCode(f), nil
}

func coded(err error) int {
	var known *code.Error
	if errors.As(err, &known) {
		return known.Status
	}
	return code.Trouble
}
