package main

import (
	"fmt"
	"os"

	"fettlebook/cmd/internal/exit"

	"github.com/alecthomas/kong"
	mangokong "github.com/alecthomas/mango-kong"
	"github.com/muesli/roff"
	"github.com/willabides/kongplete"
)

// completing is set by a shell that asks how a line may go on, as bash's complete -C does.
const completing = "COMP_LINE"

// completes answers a shell that asks how a line may go on, and reports whether one did.
func completes(parser *kong.Kong) bool {
	if os.Getenv(completing) == "" {
		return false
	}
	kongplete.Complete(parser, kongplete.WithExitFunc(func(int) {}), kongplete.WithErrorHandler(func(error) {})) // a shell shows neither
	return true
}

type completions struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"The shell: bash, zsh or fish."`
}

// Help says what to do with it.
func (*completions) Help() string {
	return "Have the shell read what is printed when it starts: `eval \"$(fettlebook completions bash)\"` in ~/.bashrc, the same with zsh in ~/.zshrc, `fettlebook completions fish | source` in ~/.config/fish/config.fish."
}

// Run prints what has a shell ask this program how a line may go on.
func (c *completions) Run(t *terminal) error {
	program, err := os.Executable()
	if err != nil {
		return fmt.Errorf("find the program’s own file: %w", err)
	}
	switch c.Shell {
	case "bash":
		_, err = fmt.Fprintf(t.Out, "complete -C %q fettlebook\n", program)
	case "zsh":
		_, err = fmt.Fprintf(t.Out, "autoload -U +X bashcompinit && bashcompinit\ncomplete -C %q fettlebook\n", program)
	case "fish":
		_, err = fmt.Fprintf(t.Out, "complete -f -c fettlebook -a '(env COMP_LINE=(commandline -cp) %q)'\n", program)
	default:
		err = &exit.Error{Status: exit.Usage, Sentence: "the shell is bash, zsh or fish"}
	}
	return err
}

type manual struct{}

// Run prints the page of the manual, in the language of man pages.
func (*manual) Run(t *terminal, k *kong.Kong) error {
	page := mangokong.NewManPage(1, k.Model).WithSection("Exit status", exit.Table)
	_, err := fmt.Fprintln(t.Out, page.Build(roff.NewDocument()))
	return err
}
