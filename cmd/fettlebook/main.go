// Command fettlebook keeps the journal of a shop that takes brake parts off
// vehicles, coats them, and puts them back: entries with photographs, written
// at the bench without a network, brought together at the shop's hub, and
// checkable by anybody who has the public keys.
package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/service"

	"github.com/alecthomas/kong"
)

func main() {
	unhurried()
	if code, so := service.AsAsked(func(ctx context.Context) int { return run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr) }); so {
		os.Exit(code)
	}
	ctx, stop := signal.NotifyContext(context.Background(), ends()...)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// ends are the signals that end the program as it should: Ctrl-C, being told to stop, and
// a terminal that is closed, unless whoever started it had it outlive that.
func ends() []os.Signal {
	list := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		list = append(list, syscall.SIGHUP)
	}
	return list
}

// commands is the whole command line.
type commands struct {
	Data    string `help:"The data folder of this hub or tablet. Left out, it is fettlebook-data in this folder if there is one, else fettlebook in your own data directory." env:"FETTLEBOOK_DATA" type:"path" placeholder:"DIR"`
	Verbose bool   `help:"Say more about what goes on, on standard error."`
	Clock   string `name:"demo-clock" hidden:"" env:"FETTLEBOOK_DEMO_CLOCK" type:"path" help:"The clock of a demonstration, instead of the machine’s own."`

	Start startHere `cmd:"" default:"withargs" help:"Open what is in the data folder in the browser; on a fresh machine, set up a shop or join one there. Done as well if no command is given."`
	Hub   struct {
		Init    hubInit    `cmd:"" help:"Set up a shop: this machine becomes its hub."`
		Run     hubRun     `cmd:"" help:"Run the hub: take entries in, countersign them, let tablets join."`
		Address hubAddress `cmd:"" help:"Show where the hub is in the network, or have it be elsewhere from its next start on."`
		Keys    hubKeys    `cmd:"" help:"Print the hub’s public keys, for witnesses."`
		Invite  hubInvite  `cmd:"" help:"Print an invitation with which one tablet can join."`

		ChangeKeys hubChangeKeys `cmd:"" name:"change-keys" help:"Have the hub go on with new keys, which the old ones sign: when a copy of them was lost or stolen."`
		FoundKeys  hubFoundKeys  `cmd:"" name:"found-keys" help:"Make a hub with new keys of what other machines hold, where the old keys are gone: each tablet’s person is asked to agree."`
		Appeal     hubAppeal     `cmd:"" help:"Print what each tablet’s person is asked to agree to after found-keys."`
		Tablets    hubTablets    `cmd:"" help:"List the tablets, with the IDs by which commands name them."`
		TakeOver   hubTakeOver   `cmd:"" name:"take-over" help:"Take over the work of a lost or restored tablet that no longer counts."`
		Passphrase hubPassphrase `cmd:"" help:"Set the passphrase that opens the desk’s pages."`
	} `cmd:"" help:"The machine in the office."`
	Tablet struct {
		Join  tabletJoin  `cmd:"" help:"Join a shop with an invitation."`
		Run   tabletRun   `cmd:"" help:"Keep this tablet in step with the hub."`
		Agree tabletAgree `cmd:"" help:"Agree that a hub with new keys goes on, where the old ones are gone."`
		PIN   tabletPIN   `cmd:"" name:"pin" help:"Set the PIN with which somebody confirms stamps at this tablet."`
	} `cmd:"" help:"A machine at the bench."`

	Open        openJob      `cmd:"" help:"Open a job for a vehicle."`
	Add         addEntry     `cmd:"" help:"Add an entry, with photographs."`
	Correct     correctEntry `cmd:"" help:"Strike an entry out and put in its place what should have been written, or nothing."`
	Log         logTrace     `cmd:"" help:"File a recorder’s log of temperatures with a bake."`
	Next        showNext     `cmd:"" help:"Show what to do next in a job, the most urgent photograph first."`
	Holds       showHolds    `cmd:"" help:"Show how the hold points of a job stand, and why."`
	Claim       showClaim    `cmd:"" help:"Show a complaint: how it stands to the warranty, what touched the same parts, and what was decided."`
	Due         listDue      `cmd:"" help:"List follow-ups: what was promised for the time after handover, and open complaints."`
	Route       routeCards   `cmd:"" help:"Route cards: what a job should have, and its hold points."`
	Record      showRecord   `cmd:"" help:"Show the record of a vehicle or a job."`
	Receipt     writeReceipt `cmd:"" help:"Write the receipt that the customer gets at handover."`
	Dossier     writeDossier `cmd:"" help:"Write the file of a job, a vehicle or a complaint that others can check without this shop."`
	Verify      verifyFile   `cmd:"" help:"Check a dossier that left a shop, against the customer’s receipt if there is one."`
	Name        writeName    `cmd:"" help:"Write down the full name of somebody who works here, on a card beside the journal."`
	Export      exportForm   `cmd:"" help:"Write the record of a vehicle or a job in an open format: EPCIS, CloudEvents or CSV."`
	Recur       recurring    `cmd:"" help:"Say what a recurring defect goes with: how often, over time, and with which factors."`
	Jobs        listJobs     `cmd:"" help:"List the jobs that are open or have an open complaint."`
	Trace       traceTerm    `cmd:"" help:"Say what touched a part, and which vehicles share a lot, a run, a tool or the like."`
	Parts       listParts    `cmd:"" help:"List the coats of all parts, with what had a part in them and how they came out."`
	Schema      showSchema   `cmd:"" help:"Show which kinds of entry there are and what they hold."`
	Audit       auditData    `cmd:"" help:"Check a whole data folder and list all findings."`
	Backup      makeBackup   `cmd:"" help:"Copy the data folder to another disk, also while programs use it, and check the copy."`
	Restore     putBack      `cmd:"" help:"Make a new data folder of a backup."`
	Photos      photographs  `cmd:"" help:"Where the original photographs lie: on which disk, and the archive of old ones."`
	Figure      figures      `cmd:"" help:"Work out one of the trade’s figures."`
	Demo        runDemo      `cmd:"" help:"Show one job from wheel-off to handover, with everything in it."`
	Completions completions  `cmd:"" help:"Print what completes this program’s command lines in a shell."`
	Man         manual       `cmd:"" help:"Print the page of the manual, to be read with man -l."`
	Notices     notices      `cmd:"" help:"Print the licences of all that is in this program."`
	Service     services     `cmd:"" help:"Have the program start with this machine."`
	Version     version      `cmd:"" help:"Print the version."`
}

// terminal is what a command has of the world outside.
type terminal struct {
	In       io.Reader
	Out, Err io.Writer
	Data     string
	Now      func() time.Time
	Brokers  []string // where the hub is, if not where it was when the tablet joined
	SetClock bool     // Now is not the machine's own clock
	Rand     io.Reader
	Opened   func(address string) // told of the pages that a person looks at first; nil if nobody asks
	Logger   *slog.Logger
	level    *slog.LevelVar // of what Logger tells; nil if it is not to be changed

	plain bool // what is printed is for programs
}

// plainly is the terminal of a command that was asked for what programs read.
func (t *terminal) plainly(so bool) *terminal {
	other := *t
	other.plain = so
	return &other
}

// stays is for a program that runs until it is told to stop: whoever reads its log later
// finds there who joined, signed in, was revoked or refused.
func (t *terminal) stays() {
	if t.level != nil {
		t.level.Set(min(t.level.Level(), slog.LevelInfo))
	}
}

// folder is what a data folder needs of the world outside.
func (t *terminal) folder() folder.Options {
	return folder.Options{Now: t.Now, SetClock: t.SetClock, Rand: t.Rand, Meet: t.meet, Logger: t.Logger}
}

// run is the program: parse, do, say what went wrong. It returns the exit
// code.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	if err := unspoken(args); err != nil {
		fmt.Fprintln(errOut, "fettlebook:", err)
		return exit.Code(err)
	}
	var c commands
	exited := -1
	parser, err := kong.New(&c,
		kong.Name("fettlebook"),
		kong.Description("The journal of a shop that coats brake parts. It is a record, not an approval: the vehicle maker’s data, local rules and licensed practice come first."),
		kong.Writers(out, errOut),
		kong.Exit(func(code int) { exited = code }),
		kong.UsageOnError(),
		kong.Help(func(o kong.HelpOptions, k *kong.Context) error {
			if err := kong.DefaultHelpPrinter(o, k); err != nil {
				return err
			}
			_, err := fmt.Fprintln(k.Stdout, "\n"+exit.Table)
			return err
		}),
	)
	if err != nil {
		fmt.Fprintln(errOut, "fettlebook:", err)
		return exit.Trouble
	}
	if completes(parser) {
		return exit.OK
	}
	k, err := parser.Parse(args)
	if exited >= 0 {
		return exited
	}
	if err != nil {
		fmt.Fprintf(errOut, "fettlebook: %v; see `fettlebook --help`\n", err)
		return exit.Usage
	}
	level := new(slog.LevelVar)
	level.Set(slog.LevelWarn)
	if c.Verbose {
		level.Set(slog.LevelDebug)
	}
	if c.Data == "" {
		c.Data = dataDir()
	}
	t := &terminal{In: in, Out: out, Err: errOut, Data: c.Data, Now: time.Now, Rand: rand.Reader, level: level,
		Logger: slog.New(slog.NewTextHandler(errOut, &slog.HandlerOptions{Level: level}))}
	if c.Clock != "" {
		clock, err := demo.ReadClock(c.Clock, time.Now)
		if err != nil {
			fmt.Fprintln(errOut, "fettlebook:", err)
			return exit.NotFound
		}
		defer clock.Close()
		t.Now, t.SetClock = clock.Now, true
	}
	k.BindTo(ctx, (*context.Context)(nil))
	if err := k.Run(t); err != nil {
		if ctx.Err() != nil { // whatever came of it, programs that it had started included
			fmt.Fprintf(errOut, "fettlebook: stopped before it was done: %v\n", err)
			return exit.Trouble
		}
		fmt.Fprintln(errOut, "fettlebook:", err)
		return exit.Code(err)
	}
	return exit.OK
}
