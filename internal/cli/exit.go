package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
)

// The exit codes.
const (
	ExitDone        = 0
	ExitFailure     = 1 // files, internal faults
	ExitUsage       = 2 // wrong command line
	ExitInvalid     = 3 // a trial file is invalid
	ExitFindings    = 4 // findings at or above --fail-on
	ExitInterrupted = 130
)

// saidError ends a command with a code after its messages were printed.
type saidError struct{ code int }

func (e saidError) Error() string { return fmt.Sprintf("exit code %d", e.code) }

// usageError is a wrong command line.
type usageError struct{ text, hintText string }

func (e *usageError) Error() string { return e.text }

func (e *usageError) hint(h string) *usageError {
	if h != "" {
		e.hintText = h
	}
	return e
}

// usagef is a usage error whose hint is the help of the verb, unless a better
// one is set.
func usagef(cmd *cobra.Command, format string, args ...any) *usageError {
	return &usageError{text: fmt.Sprintf(format, args...), hintText: "see " + cmd.CommandPath() + " --help"}
}

// nearestVerb proposes a verb for a mistyped one.
func nearestVerb(cmd *cobra.Command, word string) string {
	var names []string
	for _, c := range cmd.Root().Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	if best, ok := diag.Nearest(word, names); ok {
		return "did you mean tamis " + best + "?"
	}
	return ""
}

// plainFlagError words cobra's flag errors for a person.
func plainFlagError(err error) string {
	s := err.Error()
	switch {
	case strings.HasPrefix(s, "unknown flag: "):
		return "unknown flag " + strings.TrimPrefix(s, "unknown flag: ")
	case strings.HasPrefix(s, "unknown shorthand flag: "):
		return "unknown flag " + s[strings.LastIndex(s, " ")+1:]
	case strings.HasPrefix(s, "flag needs an argument: "):
		return "the flag " + strings.TrimPrefix(s, "flag needs an argument: ") + " needs a value"
	case strings.HasPrefix(s, "invalid argument "):
		if i := strings.Index(s, ": "); i > 0 {
			return s[:i] // without the Go function that refused it
		}
	}
	return s
}
