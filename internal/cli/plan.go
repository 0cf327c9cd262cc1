package cli

import (
	"crypto/rand"
	"encoding/binary"
	"errors"
	"os"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/design/schedule"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// planFlags are what the flags of plan say.
type planFlags struct {
	common
	seed  uint64
	out   string
	day   string
	again bool
	json  bool
}

func (a *app) planCmd() *cobra.Command {
	var f planFlags
	var day scheduleFlags
	cmd := &cobra.Command{
		Use:   "plan FILE",
		Short: "turn a design into cooks, pieces, codes and orders",
		Long: `plan lays a trial out before the cook. From the design in the file it draws
which piece of which source goes into which cook, bath and session, in which
order the cooks are run, a blind code for every piece, and who tastes what in
which order. All of that is written into the file as data; comments stay, and so
does the design, as the record of what was asked for. The key to the codes and
the score sheet to fill in are tables beside the file: keep the key apart.

Everything is drawn by lot from one seed, which is written down too (drawn). The
run order is drawn only among those that do not follow the set point, and in
which what is compared is early and late alike, as far as that can be. What
cannot be laid out is refused with the reason, and so is what must not be
eaten; then nothing is written. What was cooked is never laid out again.`,
		Example: `  tamis plan --out plan.yaml trials/pollack/next.yaml
  tamis plan --seed 1 trials/pollack/next.yaml`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			o, _, err := day.options(cmd)
			if err != nil {
				return err
			}
			return a.plan(cmd, args[0], &f, o)
		},
	}
	fs := cmd.Flags()
	fs.IntVar(&f.maxErrors, "max-errors", 20, "how many messages to show; 0 shows all")
	fs.StringVar(&f.units, "units", "metric", "what is shown: metric or us")
	fs.Uint64Var(&f.seed, "seed", 0, "where the draws start from; drawn by lot and written down if not given")
	fs.StringVar(&f.out, "out", "", "write the plan to this new file and leave FILE as it is")
	fs.StringVar(&f.day, "day", "", "how long a session at the baths may be; 12 h if not given")
	fs.BoolVar(&f.again, "again", false, "draw anew what was laid out and not cooked yet")
	fs.BoolVar(&f.json, "json", false, "print the plan as JSON; with --schedule, the schedule")
	return a.withSchedule(cmd, &day)
}

func (a *app) plan(cmd *cobra.Command, path string, f *planFlags, clock schedule.Options) error {
	sys, err := f.system(cmd)
	if err != nil {
		return err
	}
	o, err := f.options(cmd)
	if err != nil {
		return err
	}
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	files, err := f.destination(cmd, path, t)
	if err != nil {
		return err
	}
	p, err := design.Of(t, o)
	if err != nil {
		return a.refused(path, t, err, sys)
	}
	// Where a day is served in flights, its places are those of the clock.
	if s, _ := schedule.Of(p.Trial, clock); s != nil {
		rows, moved, err := s.Places(p.Trial)
		if err != nil {
			return err
		}
		if len(moved) > 0 {
			if err := p.Serve(rows); err != nil {
				return err
			}
		}
		if sets, moved := s.Sets(p.Trial); moved {
			p.Trial.Panel.V.Triangles = sets
		}
	}
	if err := files.write(cmd, p); err != nil {
		return err
	}
	if f.json {
		r := answer.PlanOf(p)
		r.Wrote = append(r.Wrote, files.wrote...)
		return a.printJSON(r)
	}
	_, err = a.out.WriteString(renderPlan(p, files, sys))
	return err
}

// options reads the flags.
func (f *planFlags) options(cmd *cobra.Command) (design.Options, error) {
	o := design.Options{Seed: f.seed, Again: f.again}
	changed := cmd.Flags().Changed
	switch {
	case changed("seed") && f.seed == 0:
		return o, usagef(cmd, "--seed 0: seeds count from 1")
	case changed("out") && f.out == "":
		return o, usagef(cmd, "--out needs a file name")
	}
	if changed("day") {
		d, err := quantity.ParseDuration(f.day)
		if err != nil {
			return o, usagef(cmd, "--day: %s", err)
		}
		if d.Minutes() < 1 || d.Days() > 7 {
			return o, usagef(cmd, "--day %s: between a minute and a week", d)
		}
		o.LongestSession = d.Minutes()
	}
	if !changed("seed") {
		seed, err := anySeed()
		if err != nil {
			return o, err
		}
		o.Seed = seed
	}
	return o, nil
}

// anySeed draws a seed of at most nine digits, so that it can be typed.
func anySeed() (uint64, error) {
	var b [8]byte
	if _, err := rand.Read(b[:]); err != nil {
		return 0, err
	}
	return 1 + binary.LittleEndian.Uint64(b[:])%999_999_999, nil
}

// refused prints why there is no plan, at its place in the file.
func (a *app) refused(path string, t *trial.Trial, err error, sys quantity.System) error {
	var r *design.Refusal
	if !errors.As(err, &r) {
		return err
	}
	lines := sourceLines(path)
	m := diag.Message{Severity: diag.Error, Slug: refusalSlug(r.Reason), Pos: r.At, Source: lines(r.At),
		Text: diag.Clean(r.Reason.Error() + ": " + r.Text.Text(sys)), Hint: r.Hint.Text(sys)}
	if m.Pos.IsZero() {
		m.Pos = diag.Pos{File: diag.FileNamed(t.Origin.File)}
	}
	if errors.Is(err, design.ErrPlanned) && !design.Cooked(t) {
		m.Hint = "--again draws it anew; --out writes the plan elsewhere"
	}
	for _, n := range r.Notes {
		m.Notes = append(m.Notes, diag.Extra{Pos: n.At, Text: n.Text, Source: lines(n.At)})
	}
	if err := diag.Print(a.Err, diag.List{m}, diag.Options{Colour: a.colour(a.Err), Ending: "nothing was written"}); err != nil {
		return err
	}
	return saidError{ExitInvalid}
}

// refusalSlug names a reason; the names never change.
func refusalSlug(reason error) string {
	switch reason {
	case design.ErrNoDesign:
		return "no-design"
	case design.ErrPlanned:
		return "planned-already"
	case design.ErrPieces:
		return "too-few-pieces"
	case design.ErrRuns:
		return "too-many-runs"
	case design.ErrFixed:
		return "fixed-conflict"
	case design.ErrHungry:
		return "panel-not-fed"
	case design.ErrCodes:
		return "too-few-codes"
	case design.ErrUnsafe:
		return "do-not-eat"
	}
	return "bad-design"
}

// sourceLines gives the lines of the trial file, for messages that point at one.
func sourceLines(path string) func(diag.Pos) string {
	b, err := os.ReadFile(path)
	lines := splitLines(string(b))
	return func(at diag.Pos) string {
		if err != nil || at.Line < 1 || int(at.Line) > len(lines) {
			return ""
		}
		return lines[at.Line-1]
	}
}
