package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/cli/licences"
)

// Streams are what a command may touch of the outside: three streams and the
// environment.
type Streams struct {
	In  io.Reader
	Out io.Writer
	Err io.Writer
	Env func(string) string
}

// Run executes one command line and returns the exit code.
func Run(ctx context.Context, args []string, s Streams) int {
	if s.Env == nil {
		s.Env = func(string) string { return "" }
	}
	out := bufio.NewWriter(s.Out)
	app := &app{Streams: s, out: out}
	return app.run(ctx, args)
}

// run executes one command line and returns the exit code.
func (a *app) run(ctx context.Context, args []string) int {
	root := a.root()
	root.SetArgs(args)
	root.SetIn(a.In)
	root.SetOut(a.out)
	root.SetErr(a.Err)
	err := guarded(func() error { return root.ExecuteContext(ctx) })
	if ferr := a.out.Flush(); ferr != nil && err == nil {
		err = fmt.Errorf("writing the output: %w", ferr)
	}
	return a.finish(ctx, err)
}

// app is one run of the program.
type app struct {
	Streams
	out      *bufio.Writer
	terminal func(stream any) bool // in the place of isTerminal, for tests
}

func (a *app) root() *cobra.Command {
	var allLicences bool
	root := &cobra.Command{
		Use:   "tamis",
		Short: "an experiment notebook for texture trials",
		Long: `tamis reads a trial file: pieces of one food, cooked side by side at several
set points, and what the tasters and the scales said. It answers which set
point meets the aim, how sure that is, and what to cook next.`,
		Example: `  tamis check trials/pollack/pollack.yaml
  tamis fit trials/pollack/pollack.yaml
  tamis report --for kitchen --out pollack.html trials/pollack/pollack.yaml`,
		Version:       answer.Version,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if allLicences && len(args) == 0 {
				_, err := io.WriteString(a.out, licences.Text())
				return err
			}
			if len(args) > 0 {
				return usagef(cmd, "unknown verb %q", args[0]).hint(nearestVerb(cmd, args[0]))
			}
			return cmd.Help()
		},
	}
	root.Flags().BoolVar(&allLicences, "licences", false, "print the licences of what is built into the program")
	root.SetVersionTemplate("tamis {{.Version}}\n")
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetHelpCommand(&cobra.Command{Use: "help [VERB]", Short: "the help of a verb", RunE: func(cmd *cobra.Command, args []string) error {
		target, _, err := root.Find(args)
		if err != nil || target == nil || (target == root && len(args) > 0) {
			return usagef(root, "unknown verb %q", args[0]).hint(nearestVerb(root, args[0]))
		}
		return target.Help()
	}})
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usagef(cmd, "%s", plainFlagError(err))
	})
	root.SetUsageTemplate(usageTemplate)
	root.AddCommand(a.newCmd(), a.checkCmd(), a.heatCmd(), a.fitCmd(), a.reportCmd(), a.sizeCmd(), a.planCmd(), a.sheetsCmd(), a.scoresCmd(), a.recordCmd(), a.schemaCmd(), a.explainCmd())
	return root
}

const usageTemplate = `Usage:
  {{if .HasAvailableSubCommands}}{{.CommandPath}} VERB [FLAGS] [FILE...]{{else}}{{.UseLine}}{{end}}{{if .HasExample}}

Example:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}

Verbs:{{range .Commands}}{{if (or .IsAvailableCommand (eq .Name "help"))}}
  {{rpad .Name .NamePadding }} {{.Short}}{{end}}{{end}}{{end}}{{if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsagesWrapped 80 | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableSubCommands}}

"{{.CommandPath}} VERB --help" explains a verb.{{end}}
`

// finish turns an error into messages on standard error and an exit code. It is
// the one place that prints an error.
func (a *app) finish(ctx context.Context, err error) int {
	if err == nil {
		return ExitDone
	}
	if ctx.Err() != nil {
		fmt.Fprintln(a.Err, "tamis: interrupted; no file was left half written")
		return ExitInterrupted
	}
	var said saidError
	if errors.As(err, &said) {
		return said.code // the messages are out already
	}
	var usage *usageError
	if errors.As(err, &usage) {
		a.say("tamis: " + usage.text)
		if usage.hintText != "" {
			a.say("  " + usage.hintText)
		}
		return ExitUsage
	}
	a.say("tamis: " + plainError(err))
	return ExitFailure
}

// say prints a message: a line for a program that reads it, broken between words
// for a person at a terminal. A command to be copied stays on one line.
func (a *app) say(message string) {
	if a.isTerminal(a.Err) && !strings.Contains(message, "tamis ") {
		message = hanging(message, "    ")
	}
	fmt.Fprintln(a.Err, message)
}

// guarded turns a panic, which is always a fault of the program, into an error.
func guarded(f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("internal fault, please report it with the file that caused it: %v", r)
		}
	}()
	return f()
}

// plainError words the errors of the file system without Go's prefixes.
func plainError(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		switch {
		case errors.Is(err, os.ErrNotExist):
			return fmt.Sprintf("%s: there is no such file", pe.Path)
		case errors.Is(err, os.ErrPermission):
			return fmt.Sprintf("%s: no permission", pe.Path)
		}
		return fmt.Sprintf("%s: %s", pe.Path, pe.Err)
	}
	return err.Error()
}
