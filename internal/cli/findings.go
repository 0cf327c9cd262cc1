package cli

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/fairness"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// thresholdFlags is --threshold NAME=VALUE, as often as wanted.
type thresholdFlags struct{ typed []string }

func (f *thresholdFlags) add(fs *pflag.FlagSet) {
	fs.StringArrayVar(&f.typed, "threshold", nil, "change a threshold of a check, NAME=VALUE; more than once")
}

// parse checks names and values as the trial file's reader does.
func (f *thresholdFlags) parse(cmd *cobra.Command) ([]trial.Threshold, error) {
	var out []trial.Threshold
	for _, s := range f.typed {
		name, value, ok := strings.Cut(s, "=")
		name, value = strings.TrimSpace(name), strings.TrimSpace(value)
		if !ok || value == "" {
			return nil, usagef(cmd, "--threshold %q: write a name, = and a value", s).hint("for example: --threshold min-runs=2")
		}
		if like, ok := trialfile.ThresholdReads(name, value); !ok {
			if like == "" {
				return nil, usagef(cmd, "--threshold %q: there is no threshold %q", s, name).hint(nearestThreshold(name))
			}
			return nil, usagef(cmd, "--threshold %q: %q cannot be read", s, value).hint("write it like " + name + "=" + like)
		}
		out = append(out, trial.Threshold{Name: name, Value: value})
	}
	return out, nil
}

func nearestThreshold(name string) string {
	if near, ok := diag.Nearest(name, thresholdNames); ok {
		return "did you mean " + near + "?"
	}
	return "tamis explain SLUG names the thresholds of a finding"
}

// failOnFlag is --fail-on: from which finding on the exit code is 4.
type failOnFlag struct{ at string }

// failLevels are its values, from the strictest that fails least.
var failLevels = []string{"never", "blocks", "weakens", "note", "cannot-judge"}

func (f *failOnFlag) add(fs *pflag.FlagSet) {
	fs.StringVar(&f.at, "fail-on", "never", "end with code 4 from here on: blocks, weakens, note, cannot-judge or never")
}

func (f *failOnFlag) known() bool { return f.at == "" || slices.Contains(failLevels, f.at) }

// of ends the command with code 4 when a root that is not accepted, or with
// cannot-judge a check without an answer, stands at the level or above.
func (f *failOnFlag) of(findings []fairness.Finding) error {
	limit := slices.Index(failLevels, f.at)
	for i := range findings {
		x := &findings[i]
		switch {
		case x.Outcome == fairness.CannotJudge && limit == 4,
			x.Outcome == fairness.Fires && x.Under == "" && x.Accepted == nil && slices.Index(failLevels, x.Severity.String()) <= limit && limit > 0:
			return saidError{ExitFindings}
		}
	}
	return nil
}

// doubts prints what the checks say: the first roots, what could not be judged,
// what is clear. With all it prints every root with what it rests on, and each
// check that could not judge with what it lacks.
func (f *fitText) doubts(d answer.Doubts, findings []fairness.Finding) {
	f.heading(d.Headline.Text(f.sys))
	roots := rootsOf(findings, false)
	shown := 0
	for i, r := range d.Roots {
		if shown >= d.Show.Terminal && r.Severity < fairness.Blocks && !f.all {
			f.prose(fmt.Sprintf("and %d more: %s shows %s", len(d.Roots)-i, cmp.Or(f.elsewhere, "--all"), plainThem(len(d.Roots)-i)), "  ", "  ")
			break
		}
		shown++
		f.doubt(r)
		if f.all && i < len(roots) {
			f.prose(evidence(roots[i]), strings.Repeat(" ", 11), strings.Repeat(" ", 11))
			f.under(roots[i], findings)
		}
	}
	known := rootsOf(findings, true)
	for i, r := range d.Accepted {
		f.prose("accepted: "+r.Text.Text(f.sys)+" ["+r.Slug+"] Because: "+diag.Clean(r.Because), "  ", "    ")
		if f.all && i < len(known) {
			f.prose(evidence(known[i]), "    ", "    ")
		}
	}
	for _, c := range d.Changed {
		f.prose("threshold "+c.Name+" = "+c.Value+" (usually "+c.Default+")", "  ", "    ")
	}
	for _, n := range d.Notices {
		f.prose(n, "  ", "    ")
	}
	f.list(d.Unjudged)
	if f.all {
		f.unjudged(findings)
	}
	end := fmt.Sprintf("Clear: %d.", d.Clear)
	if n := applies(findings, fairness.DoesNotApply); f.all && n > 0 {
		end = fmt.Sprintf("Clear: %d. Does not apply: %d.", d.Clear, n)
	}
	if len(d.Roots) > 0 {
		end += " More on one: tamis explain " + d.Roots[0].Slug
	}
	f.prose(end, "  ", "  ")
}

func (f *fitText) doubt(r answer.Doubt) {
	text := r.Text.Text(f.sys)
	if len(r.Cost) > 0 {
		text += " " + r.Cost.Text(f.sys)
	}
	if len(r.Also) > 0 && !f.all { // all prints the parts themselves
		text += " " + r.Also.Text(f.sys)
	}
	text += " [" + r.Slug + "]"
	f.prose(text, "  "+r.Severity.String()+strings.Repeat(" ", 9-cells(r.Severity.String())), strings.Repeat(" ", 11))
	if f.all {
		f.prose(r.Next.Text(f.sys), strings.Repeat(" ", 11)+"Next time: ", strings.Repeat(" ", 11))
	}
}

// plainThem is it or them.
func plainThem(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}
