package cli

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// fitFlags are the flags of fit.
type fitFlags struct {
	common
	opt                texture.Options
	all, method, names bool
	csv                string
	force              bool
	thresholds         thresholdFlags
	failOn             failOnFlag
}

func (a *app) fitCmd() *cobra.Command {
	var f fitFlags
	cmd := &cobra.Command{
		Use:   "fit FILE",
		Short: "analyse a trial: the answer, how sure, and the tables",
		Long: `fit answers which set point meets the aim, how sure that is and what to cook
next, and prints the means and tests behind it.

A set point is applied to a cook, so cooks are what n counts: tests and
intervals compare cooks, not pieces and not tasters. Where each set point was
cooked once, fit says what that costs.`,
		Example: `  tamis fit trials/pollack/pollack.yaml
  tamis fit --units us --measure juiciness trials/chicken/chicken.yaml
  tamis fit --json testdata/cake/cake.yaml
  tamis fit --csv tables testdata/cake/cake.yaml`,
		Args: func(cmd *cobra.Command, args []string) error { return oneFile(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error { return a.fit(cmd, args[0], &f) },
	}
	f.add(cmd, true)
	fs := cmd.Flags()
	fs.BoolVar(&f.all, "all", false, "every measure, and every table of it")
	fs.BoolVar(&f.method, "method", false, "print the methods paragraph with its references instead")
	fs.StringVar(&f.csv, "csv", "", "also write tables for a statistics package to this folder")
	fs.BoolVar(&f.force, "force", false, "with --csv: write into a folder that holds other files")
	fs.BoolVar(&f.names, "names", false, "show tasters by name, not as P1, P2 …")
	fs.Uint64Var(&f.opt.Seed, "seed", texture.DefaultSeed, "where the draws start from")
	fs.IntVar(&f.opt.Draws, "draws", texture.DefaultDraws, "how often the cooks are redrawn")
	fs.Float64Var(&f.opt.Level, "level", texture.DefaultLevel, "level of the intervals")
	fs.StringSliceVar(&f.opt.Measures, "measure", nil, "tables of these measures only, comma-separated")
	f.thresholds.add(fs)
	f.failOn.add(fs)
	fs.StringVar(&f.opt.Type, "type", "II", "type of the sums of squares: I, II or III")
	return cmd
}

func (a *app) fit(cmd *cobra.Command, path string, f *fitFlags) error {
	sys, err := f.system(cmd)
	if err != nil {
		return err
	}
	if err := f.check(cmd); err != nil {
		return err
	}
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	if cmd.Flags().Changed("measure") && len(f.opt.Measures) == 0 {
		f.opt.Measures = []string{""} // asked for by no name, which is refused
	}
	if err := knownMeasures(cmd, t, f.opt.Measures); err != nil {
		return err
	}
	over, err := f.thresholds.parse(cmd)
	if err != nil {
		return err
	}
	var folder *tableFolder
	if f.csv != "" { // refused before the work, not after it
		if folder, err = openTableFolder(cmd, f.csv, f.force); err != nil {
			return err
		}
		if err := folder.spare(cmd, path, t); err != nil {
			return err
		}
	}
	r, err := a.answer(cmd.Context(), t, answer.Options{Options: f.withAims(t), Thresholds: over})
	if err != nil {
		return err
	}
	f.choose(r)
	who := peopleOf(t, f.names)
	who.rename(r)
	if folder != nil {
		tables := tablesOf(t, r, who)
		if err := folder.write(tables); err != nil {
			return err
		}
		fmt.Fprintf(a.Err, "wrote %d tables to %s\n", len(tables)-1, f.csv)
	}
	if err := a.printFit(r, f, sys); err != nil {
		return err
	}
	return f.failOn.of(r.Findings)
}

// withAims are the options of the analysis: what was asked for, and every
// measure with an aim, because the answer needs them together.
func (f *fitFlags) withAims(t *trial.Trial) texture.Options {
	opt := f.opt
	if len(opt.Measures) > 0 {
		opt.Measures = append([]string{}, opt.Measures...)
		for _, aim := range t.Aims {
			opt.Measures = append(opt.Measures, aim.Measure)
		}
	}
	return opt
}

// choose leaves the measures that were asked for, and what is derived from them.
func (f *fitFlags) choose(r *answer.Result) {
	if len(f.opt.Measures) == 0 {
		return
	}
	kept := texture.Measures{}
	for _, m := range r.Measures {
		for _, want := range f.opt.Measures {
			if m.Name == want || strings.HasPrefix(m.Name, want+"_on_") {
				kept = append(kept, m)
				break
			}
		}
	}
	r.Measures = kept
}

func (a *app) printFit(r *answer.Result, f *fitFlags, sys quantity.System) error {
	var err error
	switch {
	case f.json:
		err = a.printJSON(r)
	case f.method:
		_, err = a.out.WriteString(renderMethod(r, sys))
	default:
		_, err = a.out.WriteString(renderFit(r, sys, f.all, len(f.opt.Measures) > 0))
	}
	return err
}

// check refuses values and combinations that mean nothing.
func (f *fitFlags) check(cmd *cobra.Command) error {
	o := f.opt
	switch {
	case !(o.Level > 0 && o.Level < 1):
		return usagef(cmd, "--level %v: a level lies between 0 and 1, such as 0.95", o.Level)
	case o.Draws < 100 || o.Draws > 1_000_000:
		return usagef(cmd, "--draws %d: between 100 and 1000000", o.Draws)
	case o.Type != "I" && o.Type != "II" && o.Type != "III":
		return usagef(cmd, "--type %q: write I, II or III", o.Type)
	case o.Seed == 0:
		return usagef(cmd, "--seed 0: seeds count from 1")
	case f.json && f.method:
		return usagef(cmd, "--json and --method exclude each other").hint("--json holds the methods paragraph as text.method")
	case f.json && f.all:
		return usagef(cmd, "--json and --all exclude each other").hint("--json holds everything already")
	case f.method && f.all:
		return usagef(cmd, "--method and --all exclude each other")
	case f.force && f.csv == "":
		return usagef(cmd, "--force belongs to --csv")
	case !f.failOn.known():
		return usagef(cmd, "--fail-on %q: write blocks, weakens, note, cannot-judge or never", f.failOn.at)
	case cmd.Flags().Changed("csv") && f.csv == "":
		return usagef(cmd, "--csv needs the name of a folder")
	}
	return nil
}

// renderMethod is the methods paragraph and its references.
func renderMethod(r *answer.Result, sys quantity.System) string {
	f := &fitText{r: r, sys: sys}
	if len(r.Text.Method) == 0 {
		f.prose("Nothing was compared, so there is no method to describe.", "", "")
		return f.text()
	}
	var all []string
	for _, s := range r.Text.Method {
		all = append(all, s.Text(sys))
	}
	f.prose(joinSpaced(all), "", "")
	f.blank()
	if r.Safety.Verdict == answer.VerdictDoNotEat { // a method that goes into print takes it along
		f.prose(f.joined(r.Safety.Lead), "", "")
		f.blank()
	}
	for i, ref := range r.Text.Reference {
		f.prose(fmt.Sprintf("[%d] %s", i+1, ref), "", "    ")
	}
	return f.text()
}

func (a *app) printJSON(v any) error {
	enc := json.NewEncoder(a.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
