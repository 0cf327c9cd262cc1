package cli

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tamis/internal/answer"
	"tamis/internal/design/schedule"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/report/calendar"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// scheduleFlags are what the flags of the schedule say.
type scheduleFlags struct {
	only                                    bool
	serveAt, opens, within, wait, perSample string
	tap, date                               string
	hands, pans, flights                    int
	chill, minutes                          bool
	calendar, timeline                      string
}

// add registers the flags that say how a trial is put on the clock.
func (f *scheduleFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&f.serveAt, "serve-at", "", "when the last of it is served, such as 19:30; serve_at of the design if not given")
	fs.StringVar(&f.opens, "opens", "", "nothing is done before this time on the day of serving")
	fs.IntVar(&f.hands, "hands", schedule.Hands, "how many people cook")
	fs.IntVar(&f.pans, "pans", 0, "how many pans there are; those that the file names, or one")
	fs.IntVar(&f.flights, "flights", 0, "in how many flights a session is served; as few as fit if 0")
	fs.StringVar(&f.within, "within", "10 min", "within which time everything of a flight is plated")
	fs.StringVar(&f.wait, "wait", "15 min", "how long a cook may wait between bath and plate")
	fs.StringVar(&f.perSample, "per-sample", "", "the time for tasting one sample; 2 min, or a minute and the rinse of the file")
	fs.StringVar(&f.tap, "tap", "15 °C", "how cold the water is that baths are filled with")
	fs.BoolVar(&f.chill, "chill", false, "chill everything and warm it up together; only what is pasteurised")
	fs.StringVar(&f.date, "date", "", "the day of serving, such as 2026-03-10, where the file has none")
}

// withSchedule gives the verb plan its schedule: with --schedule that of a trial as
// it is, else that of the plan that was just written, where it is known when it is
// served.
func (a *app) withSchedule(cmd *cobra.Command, f *scheduleFlags) *cobra.Command {
	fs := cmd.Flags()
	fs.BoolVar(&f.only, "schedule", false, "draw nothing: put the cooks that FILE has on the clock")
	f.add(fs)
	fs.BoolVar(&f.minutes, "minutes", false, "print what is done by the minute; --schedule does")
	fs.StringVar(&f.calendar, "calendar", "", "write the schedule to this iCalendar file")
	fs.StringVar(&f.timeline, "timeline", "", "write a picture of each day (SVG) to this file")
	cmd.Long += `

Where it is known when it is served (serve_at of the design, or --serve-at), the
plan is put on the clock as well, worked back from serving: brines, baths, pans,
hands, plates and tastings. Where a day is served in flights, the places of the
serving orders follow them. With --schedule nothing is drawn or written into the
file: the cooks that it has are put on the clock, whether they were cooked or
not. What cannot be done names two steps and the minute.`
	cmd.Example += `
  tamis plan --schedule --serve-at 19:30 trials/pollack/pollack.yaml
  tamis plan --schedule --serve-at 19:30 --calendar day.ics --timeline day.svg \
    trials/pollack/pollack.yaml`
	plan := cmd.RunE
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		o, sys, err := f.options(cmd)
		if err != nil {
			return err
		}
		if f.only {
			return a.schedule(cmd, args[0], f, o, sys, true)
		}
		if t, _, err := trialfile.Read(args[0], vocabulary()); err == nil && t != nil { // else plan says what is wrong
			if err := f.spared(cmd, args[0], t); err != nil {
				return err
			}
		}
		if err := plan(cmd, args); err != nil {
			return err
		}
		path := args[0]
		if out := fs.Lookup("out"); out != nil && out.Value.String() != "" {
			path = out.Value.String()
		}
		return a.schedule(cmd, path, f, o, sys, f.serveAt != "" || f.calendar != "" || f.timeline != "")
	}
	return cmd
}

// options reads the flags.
func (f *scheduleFlags) options(cmd *cobra.Command) (o schedule.Options, sys quantity.System, err error) {
	c := common{}
	if c.units, err = cmd.Flags().GetString("units"); err != nil {
		return o, sys, err
	}
	if sys, err = c.system(cmd); err != nil {
		return o, sys, err
	}
	for _, x := range []struct {
		flag, text string
		to         *trial.Opt[trial.Clock]
	}{{"serve-at", f.serveAt, &o.ServeAt}, {"opens", f.opens, &o.Opens}} {
		if x.text == "" {
			continue
		}
		at, err := time.Parse("15:04", x.text)
		if err != nil {
			return o, sys, usagef(cmd, "--%s %q: write a time of day such as 19:30", x.flag, x.text)
		}
		*x.to = trial.Some(trial.Clock{Minute: 60*at.Hour() + at.Minute()})
	}
	for _, x := range []struct {
		flag, text string
		to         *float64
	}{{"within", f.within, &o.Within}, {"wait", f.wait, &o.Wait}, {"per-sample", f.perSample, &o.PerSample}} {
		if x.text == "" {
			continue
		}
		d, err := quantity.ParseDuration(x.text)
		if err != nil {
			return o, sys, usagef(cmd, "--%s: %s", x.flag, err)
		}
		if m := d.Minutes(); m <= 0 || m > 24*60 {
			return o, sys, usagef(cmd, "--%s %s: more than nothing and at most a day", x.flag, d)
		}
		*x.to = d.Minutes()
	}
	tap, err := quantity.ParseTemperature(f.tap)
	if err != nil {
		return o, sys, usagef(cmd, "--tap: %s", err)
	}
	if c := tap.Celsius(); c < 0 || c > 60 {
		return o, sys, usagef(cmd, "--tap %s: water from the tap has 0 to 60 °C", tap)
	}
	o.Tap = trial.Some(tap.Celsius())
	switch {
	case f.hands < 1 || f.hands > 50:
		return o, sys, usagef(cmd, "--hands %d: 1 to 50", f.hands)
	case f.pans < 0 || f.pans > 50:
		return o, sys, usagef(cmd, "--pans %d: 0 to 50", f.pans)
	case f.flights < 0 || f.flights > 500:
		return o, sys, usagef(cmd, "--flights %d: 0 to 500", f.flights)
	}
	if f.date != "" {
		on, err := time.Parse(time.DateOnly, f.date)
		if err != nil {
			return o, sys, usagef(cmd, "--date %q: write a day such as 2026-03-10", f.date)
		}
		o.On = trial.Date{Year: on.Year(), Month: int(on.Month()), Day: on.Day()}
	}
	for flag, path := range map[string]string{"calendar": f.calendar, "timeline": f.timeline} {
		if cmd.Flags().Changed(flag) && path == "" {
			return o, sys, usagef(cmd, "--%s needs a file name", flag)
		}
	}
	o.Hands, o.Pans, o.Flights, o.Chill = f.hands, f.pans, f.flights, f.chill
	return o, sys, nil
}

// schedule prints the schedule of a trial and writes its files. asked is false
// where it only follows a plan: then nothing is missing without one.
func (a *app) schedule(cmd *cobra.Command, path string, f *scheduleFlags, o schedule.Options, sys quantity.System, asked bool) error {
	var t *trial.Trial
	var err error
	if f.only {
		if t, err = a.read(path, &common{maxErrors: 20}); err != nil {
			return err
		}
		if err := f.spared(cmd, path, t); err != nil {
			return err
		}
	} else if t, _, err = trialfile.Read(path, vocabulary()); err != nil || t == nil { // what was to be said of it was said by plan
		return err
	}
	s, conflicts := schedule.Of(t, o)
	if !asked && len(conflicts) > 0 && conflicts[0].Slug == schedule.NoTime {
		return nil
	}
	json, _ := cmd.Flags().GetBool("json")
	silent := json && !f.only // what was printed is the plan, and one result only
	json = json && f.only
	if s == nil && json { // the reasons are a result too
		s = &schedule.Schedule{Tamis: schedule.Schema, Days: []schedule.Day{}, Conflicts: conflicts}
	}
	if s != nil {
		s.Version = answer.Version
		if silent {
			err = nil
		} else if json {
			err = a.printJSON(s)
		} else {
			text := renderSchedule(s, sys, f.only || f.minutes)
			if !f.only {
				text = "\n" + text
			}
			_, err = a.out.WriteString(text)
		}
		if err != nil {
			return err
		}
	}
	if len(conflicts) > 0 {
		return a.conflicts(t, conflicts, sys, asked)
	}
	return f.write(cmd, a.Err, path, t, s, sys)
}

// spared refuses outputs that are files of the trial, or cannot be written.
func (f *scheduleFlags) spared(cmd *cobra.Command, path string, t *trial.Trial) error {
	for _, out := range []struct{ flag, path string }{{"calendar", f.calendar}, {"timeline", f.timeline}} {
		if out.path == "" {
			continue
		}
		if err := spare(cmd, out.flag, out.path, path, t); err != nil {
			return err
		}
		if err := writable(out.path); err != nil {
			return err
		}
	}
	return nil
}

// write makes the files that were asked for.
func (f *scheduleFlags) write(cmd *cobra.Command, to io.Writer, path string, t *trial.Trial, s *schedule.Schedule, sys quantity.System) error {
	if f.calendar != "" {
		b, err := calendar.Of(s, sys)
		if errors.Is(err, calendar.ErrNoDate) {
			return usagef(cmd, "--calendar: %s", err).hint("give --date 2026-03-10, or a date to each session")
		}
		if err != nil {
			return err
		}
		if err := writeFile(f.calendar, b); err != nil {
			return err
		}
		fmt.Fprintln(to, "wrote "+diag.Clean(f.calendar))
	}
	if f.timeline == "" {
		return nil
	}
	for i := range s.Days {
		b, err := report.Timeline(s, i, sys)
		if err != nil {
			return err
		}
		out := f.timeline
		if i > 0 { // day 2 of a.svg is a-2.svg
			ext := filepath.Ext(out)
			out = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(out, ext), i+1, ext)
			if err := spare(cmd, "timeline", out, path, t); err != nil {
				return err
			}
		}
		if err := writeFile(out, b); err != nil {
			return err
		}
		fmt.Fprintln(to, "wrote "+diag.Clean(out))
	}
	return nil
}

// conflicts prints why there is no schedule, and ends with ExitInvalid where one was
// asked for.
func (a *app) conflicts(t *trial.Trial, list []schedule.Conflict, sys quantity.System, asked bool) error {
	var out diag.List
	for _, c := range list {
		m := diag.Message{Severity: diag.Error, Slug: c.Slug, Pos: diag.Pos{File: diag.FileNamed(t.Origin.File)}, Text: diag.Clean("no schedule: " + c.Text.Text(sys)), Hint: c.Hint.Text(sys)}
		if c.Session != "" {
			m.Text = diag.Clean("no schedule for " + c.Session + ": " + c.Text.Text(sys))
		}
		if !asked {
			m.Severity = diag.Warning
		}
		out = append(out, m)
	}
	ending := "no calendar and no picture was written"
	if err := diag.Print(a.Err, out, diag.Options{Colour: a.colour(a.Err), Ending: ending}); err != nil {
		return err
	}
	if asked {
		return saidError{ExitInvalid}
	}
	return nil
}
