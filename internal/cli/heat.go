package cli

import (
	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/figure"
	"tamis/internal/figure/svg"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/trial"
)

// heatFlags are the flags of heat.
type heatFlags struct {
	common
	heatFood // the cook that is asked for by flags alone
	heatOwn
	table       bool
	thicknesses []string
	setPoints   []string
	cook        string
	csv         bool
	figure      string
}

func (a *app) heatCmd() *cobra.Command {
	var f heatFlags
	cmd := &cobra.Command{
		Use:   "heat [FILE]",
		Short: "does the core get there, and who may eat it",
		Long: `heat predicts when the core of a piece gets to its bath, where core and surface
are on the way, and says who may eat what comes out. It asks the flags, or every
cook of a trial file.

The times are a range: pieces, bags and baths differ. The verdict takes the
unfavourable end of everything. Without --time it is the verdict for when the
core is surely there.`,
		Example: `  tamis heat --food "lean fish" --thickness 25mm --start 4C --set-point 52C
  tamis heat --food poultry --form whole --fat 2% --thickness 30mm --start 4C \
    --set-point 62C --time 2h
  tamis heat --food "beef pork lamb" --form whole --start 4C --table
  tamis heat trials/chicken/chicken.yaml
  tamis heat --cook K01 --figure k01.svg trials/chicken/chicken.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef(cmd, "heat takes one trial file, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return a.heat(cmd, args, &f) },
	}
	f.common.add(cmd, true)
	f.heatFood.add(cmd)
	f.heatOwn.add(cmd)
	fs := cmd.Flags()
	fs.BoolVar(&f.table, "table", false, "every thickness with every set point")
	fs.StringSliceVar(&f.thicknesses, "thicknesses", nil, "with --table: thicknesses, comma-separated, each with its unit")
	fs.StringSliceVar(&f.setPoints, "set-points", nil, "with --table: set points, comma-separated, each with its unit")
	fs.StringVar(&f.cook, "cook", "", "of a trial file: only this cook")
	fs.BoolVar(&f.csv, "csv", false, "print the numbers as CSV: of the table, or else of the cooks")
	fs.StringVar(&f.figure, "figure", "", "also write the course of one cook as a picture to this file, .svg")
	return cmd
}

func (a *app) heat(cmd *cobra.Command, args []string, f *heatFlags) error {
	sys, err := f.system(cmd)
	if err != nil {
		return err
	}
	opt, err := f.options(cmd, len(args) > 0)
	if err != nil {
		return err
	}
	t, err := a.heatTrial(cmd, args, f)
	if err != nil {
		return err
	}
	if opt.Table, err = f.grid(cmd, t, sys); err != nil {
		return err
	}
	h := answer.HeatOf(t, opt)
	if f.figure != "" {
		if err := a.heatFigure(cmd, args, t, h, f, sys); err != nil {
			return err
		}
	}
	switch {
	case f.json:
		return a.printJSON(h)
	case f.csv:
		return a.printHeatCSV(h)
	}
	_, err = a.out.WriteString(renderHeat(h, sys))
	return err
}

// heatTrial is the trial that is asked about: read from its file, or made from
// the flags.
func (a *app) heatTrial(cmd *cobra.Command, args []string, f *heatFlags) (*trial.Trial, error) {
	if len(args) == 0 {
		return f.heatFood.trial(cmd, f.table)
	}
	t, err := a.read(args[0], &f.common)
	if err != nil {
		return nil, err
	}
	t = design.AsCooked(t)
	if len(t.Cooks) == 0 && !f.table {
		return nil, usagef(cmd, "%s has no cook and no set point to compute", diag.Clean(args[0])).hint("add cooks or a design, or ask for --table")
	}
	if f.cook == "" {
		return t, nil
	}
	for _, c := range t.Cooks {
		if c.ID == f.cook {
			one := *t
			one.Cooks = []trial.Cook{c}
			return &one, nil
		}
	}
	var ids []string
	for _, c := range t.Cooks {
		ids = append(ids, c.ID)
	}
	return nil, usagef(cmd, "--cook %s: the trial has no such cook", f.cook).hint(nearestOr(f.cook, ids, "see tamis heat without --cook for their names"))
}

// heatFigure writes the picture of the only cook.
func (a *app) heatFigure(cmd *cobra.Command, args []string, t *trial.Trial, h *answer.Heat, f *heatFlags, sys quantity.System) error {
	if len(h.Cooks) != 1 {
		return usagef(cmd, "--figure shows one cook, and there are %d", len(h.Cooks)).hint("name it with --cook")
	}
	if len(args) > 0 {
		if err := spare(cmd, "figure", f.figure, args[0], t); err != nil {
			return err
		}
	}
	if err := writable(f.figure); err != nil {
		return err
	}
	fig, ok := report.HeatFigure(h, 0)
	if !ok {
		return usagef(cmd, "there is nothing to draw: %s", h.Cooks[0].ComeUp.Mid.Reason())
	}
	units := figure.Metric
	if sys == quantity.US {
		units = figure.US
	}
	b, err := svg.Standalone(fig, units)
	if err != nil {
		return err
	}
	return writeFile(f.figure, b)
}
