package cli

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/size"
	"tamis/internal/trial"
)

func (a *app) sizeCmd() *cobra.Command {
	var f sizeFlags
	cmd := &cobra.Command{
		Use:   "size [FILE]",
		Short: "how many cooks, pieces and people a difference needs",
		Long: `size answers before the cook how large a difference a trial can see, and how
many cooks, pieces and people the difference that you care about needs. It takes
the spread from a trial that was cooked, or from flags, and checks its formula
by analysing invented trials the way fit does.

A set point is applied to a cook, so cooks are what counts. A brine that varies
from piece to piece within each cook is compared on pieces: --factor sizes that
of a trial, --within that of the flags. With --test it sizes a difference test
instead: how many answers, and how many must be right.`,
		Example: `  tamis size trials/pollack/pollack.yaml
  tamis size --measure cook_loss --effect 1 trials/pollack/pollack.yaml
  tamis size --effect 1 --set-points 3 --cooks 2 --spread-cooks 0.6
  tamis size --effect 1 --set-points 3 --pieces 2 --assessors 8 \
    --spread-cooks 0.4 --spread-pieces 0.3 --spread-scores 1 \
    --price-cook 12 --price-piece 3 --price-assessor 20
  tamis size --factor brine --effect 0.3 trials/pollack/pollack.yaml
  tamis size --within 2 --effect 0.5 --cooks 3 --spread-pieces 0.4
  tamis size --test triangle --answers 24 --pd 30%
  tamis size --test triangle --similarity --pd 30%`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef(cmd, "size takes one trial file or none, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return a.size(cmd, args, &f) },
	}
	f.add(cmd)
	return cmd
}

func (a *app) size(cmd *cobra.Command, args []string, f *sizeFlags) error {
	sys, err := f.system(cmd)
	if err != nil {
		return err
	}
	if err := f.check(cmd, args); err != nil {
		return err
	}
	var r *size.Result
	if cmd.Flags().Changed("test") {
		q, err := f.testRequest(cmd)
		if err != nil {
			return err
		}
		r, err = size.OfTest(q)
		if err != nil {
			return sizeError(cmd, err)
		}
	} else if r, err = a.sizeCooks(cmd, args, f, sys); err != nil {
		return sizeError(cmd, err)
	}
	r.Version = answer.Version
	if err := f.write(cmd, r); err != nil {
		return err
	}
	if f.json {
		return a.printJSON(r)
	}
	_, err = a.out.WriteString(renderSize(r, sys))
	return err
}

// write makes the files that were asked for.
func (f *sizeFlags) write(cmd *cobra.Command, r *size.Result) error {
	if f.figure != "" {
		b, err := sizeFigure(r)
		if errors.Is(err, size.ErrNoCurve) {
			return usagef(cmd, "--figure: %s", err).hint("name a difference: --effect, or --pd with --test")
		}
		if err != nil {
			return err
		}
		if err := writeFile(f.figure, b); err != nil {
			return err
		}
	}
	if f.csv != "" {
		return writeFile(f.csv, sizeCSV(r))
	}
	return nil
}

// sizeCooks sizes a comparison of set points, with what a trial file says.
func (a *app) sizeCooks(cmd *cobra.Command, args []string, f *sizeFlags, sys quantity.System) (*size.Result, error) {
	var tk *size.Taken
	var t *trial.Trial
	if len(args) == 1 {
		var err error
		if t, err = a.read(args[0], &f.common); err != nil {
			return nil, err
		}
		if tk, err = f.take(cmd, args[0], t); err != nil {
			return nil, err
		}
	}
	q, err := f.request(cmd, tk)
	if err != nil {
		return nil, err
	}
	if tk != nil {
		// Nobody tastes what must not be eaten, so neither tasters nor scores are counted for it.
		m, err := size.MeasureOf(t, f.measure)
		if err != nil {
			return nil, err
		}
		if no := design.NotEaten(t, m, q.Design.Assessors); no != nil {
			return nil, a.refused(args[0], t, no, sys)
		}
	}
	r, err := size.Of(cmd.Context(), q)
	if err != nil {
		return nil, err
	}
	if tk != nil {
		r.Trial, r.Text.Danger = &tk.Origin, tk.Danger
	}
	return r, nil
}

// take reads sizes and spreads off a trial, and refuses outputs that would
// overwrite it.
func (f *sizeFlags) take(cmd *cobra.Command, path string, t *trial.Trial) (*size.Taken, error) {
	for _, out := range []struct{ flag, path string }{{"csv", f.csv}, {"figure", f.figure}} {
		if out.path != "" {
			if err := spare(cmd, out.flag, out.path, path, t); err != nil {
				return nil, err
			}
		}
	}
	if f.measure != "" {
		if err := knownMeasures(cmd, t, []string{f.measure}); err != nil {
			return nil, err
		}
	}
	m, err := size.MeasureOf(t, f.measure)
	if err != nil {
		return nil, err
	}
	return size.FromTrial(t, m, strings.ReplaceAll(strings.TrimSpace(f.factor), " ", "_"))
}

// sizeError words an argument that means nothing as a wrong command line.
func sizeError(cmd *cobra.Command, err error) error {
	var p *size.Problem
	if !errors.As(err, &p) {
		return err
	}
	what := p.What
	if !strings.Contains(what, " ") {
		what = "--" + what
	}
	return usagef(cmd, "%s %s", what, p.Why).hint(p.Hint)
}
