package cli

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/texture"
)

func (a *app) fitCmd() *cobra.Command {
	var c common
	var opt texture.Options
	cmd := &cobra.Command{
		Use:   "fit FILE",
		Short: "analyse a trial: the answer, how sure, and the tables",
		Long: `fit answers which set point meets the aim, how sure that is and what to cook
next, and prints the means and tests behind it.

A set point is applied to a cook, so cooks are what n counts: tests and intervals
compare cooks, not pieces and not tasters. Where each set point was cooked once,
fit says what that costs.`,
		Example: `  tamis fit trials/pollack/pollack.yaml
  tamis fit --units us trials/chicken/chicken.yaml
  tamis fit --json testdata/cake/cake.yaml`,
		Args: func(cmd *cobra.Command, args []string) error { return oneFile(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := c.system(cmd)
			if err != nil {
				return err
			}
			if err := checkOptions(cmd, opt); err != nil {
				return err
			}
			t, err := a.read(args[0], &c)
			if err != nil {
				return err
			}
			if err := knownMeasures(cmd, t, opt.Measures); err != nil {
				return err
			}
			r := answer.Of(t, opt)
			if c.json {
				return a.printJSON(r)
			}
			_, err = fmt.Fprint(a.out, renderFit(r, sys))
			return err
		},
	}
	c.add(cmd, true)
	f := cmd.Flags()
	f.Uint64Var(&opt.Seed, "seed", texture.DefaultSeed, "where the draws start from")
	f.IntVar(&opt.Draws, "draws", texture.DefaultDraws, "how many worlds are redrawn")
	f.Float64Var(&opt.Level, "level", texture.DefaultLevel, "level of the intervals")
	f.StringSliceVar(&opt.Measures, "measure", nil, "only these measures, comma-separated")
	f.StringVar(&opt.Type, "type", "II", "type of the sums of squares: I, II or III")
	return cmd
}

func checkOptions(cmd *cobra.Command, o texture.Options) error {
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return usagef(cmd, "--level %v: a level lies between 0 and 1, such as 0.95", o.Level)
	case o.Draws < 100 || o.Draws > 1_000_000:
		return usagef(cmd, "--draws %d: between 100 and 1000000", o.Draws)
	case o.Type != "I" && o.Type != "II" && o.Type != "III":
		return usagef(cmd, "--type %q: write I, II or III", o.Type)
	case o.Seed == 0:
		return usagef(cmd, "--seed 0: seeds count from 1")
	}
	return nil
}

func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
