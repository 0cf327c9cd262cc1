package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
	"tamis/internal/fairness"
	"tamis/internal/food"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// common are the flags that every verb with a trial file shares.
type common struct {
	maxErrors int
	units     string
	json      bool
}

func (c *common) add(cmd *cobra.Command, withJSON bool) {
	cmd.Flags().IntVar(&c.maxErrors, "max-errors", 20, "how many messages to show; 0 shows all")
	if withJSON {
		cmd.Flags().StringVar(&c.units, "units", "metric", "what is shown: metric or us")
		cmd.Flags().BoolVar(&c.json, "json", false, "print the result as JSON")
	}
}

func (c *common) system(cmd *cobra.Command) (quantity.System, error) {
	if c.maxErrors < 0 {
		return 0, usagef(cmd, "--max-errors %d: 0 shows all, more limits them", c.maxErrors)
	}
	s, err := quantity.ParseSystem(c.units)
	if err != nil {
		return s, usagef(cmd, "--units %q: write metric or us", c.units)
	}
	return s, nil
}

// read reads one trial file and prints its messages. A file with errors ends
// the command with ExitInvalid.
func (a *app) read(path string, c *common) (*trial.Trial, error) {
	t, messages, err := trialfile.Read(path, vocabulary())
	if err != nil {
		return nil, err
	}
	if len(messages) > 0 {
		if err := diag.Print(a.Err, messages, diag.Options{Max: c.maxErrors, Colour: a.colour(a.Err)}); err != nil {
			return nil, err
		}
	}
	if messages.HasErrors() || t == nil {
		return nil, saidError{ExitInvalid}
	}
	return t, nil
}

// vocabulary hands the reader the lists that belong to packages above it.
func vocabulary() trialfile.Vocabulary {
	return trialfile.Vocabulary{FoodKinds: foodKinds, KindsNamed: food.KindsNamed, Findings: fairness.Slugs(), Thresholds: thresholdNames}
}

// thresholdNames are the thresholds that a trial may change.
var thresholdNames = func() []string {
	var names []string
	for _, o := range fairness.Options() {
		names = append(names, o.Name)
	}
	return names
}()

// kindHint is what to write for a food that is no kind.
func kindHint(name string) string {
	if kinds := food.KindsNamed(name); len(kinds) > 0 {
		return "write " + strings.Join(kinds, " or ")
	}
	return nearestOr(name, foodKinds, "write "+orList(foodKinds))
}

// foodKinds are the kinds of food that a trial may name.
var foodKinds = food.Kinds()

// oneFile is the argument rule of verbs that take exactly one trial file.
func oneFile(cmd *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return usagef(cmd, "%s needs a trial file", cmd.Name()).hint("for example: " + firstExample(cmd))
	case len(args) > 1:
		return usagef(cmd, "%s takes one trial file, not %d", cmd.Name(), len(args))
	}
	return nil
}

func firstExample(cmd *cobra.Command) string {
	for i, r := range cmd.Example {
		if r == '\n' {
			return trimLeft(cmd.Example[:i])
		}
	}
	return trimLeft(cmd.Example)
}

func trimLeft(s string) string {
	for len(s) > 0 && s[0] == ' ' {
		s = s[1:]
	}
	return s
}

func (a *app) printf(format string, args ...any) { fmt.Fprintf(a.out, format, args...) }
