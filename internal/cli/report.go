package cli

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/report"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// readers are whom a report can be for.
var readers = []string{"kitchen", "science", "readers"}

func (a *app) reportCmd() *cobra.Command {
	var c common
	var opt texture.Options
	var reader, out string
	var static bool
	cmd := &cobra.Command{
		Use:   "report --for READER --out FILE TRIAL",
		Short: "write the page of a trial",
		Long: `report analyses a trial and writes one HTML page that needs nothing else: it
opens from a memory stick, prints, and reads on a phone. A file of that name is
replaced, all or nothing.`,
		Example: `  tamis report --for kitchen --out pollack.html trials/pollack/pollack.yaml
  tamis report --for science --out science.html trials/pollack/pollack.yaml
  tamis report --for kitchen --out - trials/trout/trout.yaml > trout.html`,
		Args: func(cmd *cobra.Command, args []string) error { return oneFile(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := c.system(cmd)
			if err != nil {
				return err
			}
			if err := reportFlags(cmd, reader, out); err != nil {
				return err
			}
			f := fitFlags{common: c, opt: opt}
			if err := f.check(cmd); err != nil {
				return err
			}
			if out != "-" { // found out before the work, not after it
				if err := writable(out); err != nil {
					return err
				}
			}
			t, err := a.read(args[0], &c)
			if err != nil {
				return err
			}
			if out != "-" {
				if err := overPage(cmd, out, args[0], t); err != nil {
					return err
				}
			}
			r, err := a.answer(cmd.Context(), t, answer.Options{Options: opt})
			if err != nil {
				return err
			}
			page, err := a.page(t, r, reader, report.Options{Units: sys, Live: !static}, scienceCommand(cmd, args[0]))
			if err != nil {
				return err
			}
			if out == "-" {
				_, err = a.out.Write(page)
				return err
			}
			return writeFile(out, page)
		},
	}
	c.add(cmd, false)
	fs := cmd.Flags()
	fs.StringVar(&c.units, "units", "metric", "what the page shows first: metric or us")
	fs.StringVar(&reader, "for", "", "whom it is for: kitchen or science")
	fs.StringVar(&out, "out", "", "the file to write; - is standard output")
	fs.BoolVar(&static, "static", false, "leave out the live charts: a smaller page without scripts")
	fs.Uint64Var(&opt.Seed, "seed", texture.DefaultSeed, "where the draws start from")
	fs.IntVar(&opt.Draws, "draws", texture.DefaultDraws, "how often the cooks are redrawn")
	fs.Float64Var(&opt.Level, "level", texture.DefaultLevel, "level of the intervals")
	fs.StringVar(&opt.Type, "type", "II", "type of the sums of squares: I, II or III")
	return cmd
}

// page renders the page for a reader.
func (a *app) page(t *trial.Trial, r *answer.Result, reader string, o report.Options, command string) ([]byte, error) {
	if reader == "science" {
		return report.Science(r, report.Record{Trial: t, Heat: answer.HeatOf(t, answer.HeatOptions{}), Command: command}, o)
	}
	return report.Kitchen(r, o)
}

// scienceCommand is the command that writes the same analysis again: the flags
// that change a number, as they were given or by default, and the file by its
// own name.
func scienceCommand(cmd *cobra.Command, file string) string {
	var b strings.Builder
	b.WriteString("tamis report --for science")
	for _, name := range []string{"seed", "draws", "level", "type"} {
		b.WriteString(" --" + name + " " + cmd.Flag(name).Value.String())
	}
	return b.String() + " --out FILE.html " + quoted(filepath.Base(file))
}

// quoted is a file name as a shell takes it.
func quoted(name string) string {
	if strings.IndexFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-+", r))
	}) < 0 && !strings.HasPrefix(name, "-") {
		return name
	}
	return "'" + strings.ReplaceAll("./"+name, "'", `'\''`) + "'"
}

func reportFlags(cmd *cobra.Command, reader, out string) error {
	known := false
	for _, r := range readers {
		known = known || r == reader
	}
	switch {
	case reader == "":
		return usagef(cmd, "report needs --for").hint("write --for kitchen or --for science")
	case !known:
		return usagef(cmd, "--for %q: write kitchen or science", reader)
	case reader == "readers":
		return usagef(cmd, "--for readers: this version writes the kitchen and the science report only").hint("write --for kitchen or --for science")
	case out == "":
		return usagef(cmd, "report needs --out").hint("write --out FILE.html, or --out - for standard output")
	}
	return nil
}

// overPage refuses to write a page over a file of the trial, by whatever name,
// or over anything else that is not a page already.
func overPage(cmd *cobra.Command, out, path string, t *trial.Trial) error {
	if err := spare(cmd, "out", out, path, t); err != nil {
		return err
	}
	start := make([]byte, len(pageStart))
	f, err := os.Open(out)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // nothing is there to lose
	}
	if err != nil {
		return err
	}
	defer f.Close()
	n, err := io.ReadFull(f, start)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	if n > 0 && !strings.EqualFold(string(start[:n]), pageStart) {
		return usagef(cmd, "--out %s exists and is not a page", out).hint("choose another name; only a page is replaced")
	}
	return nil
}

// pageStart is what every page starts with.
const pageStart = "<!doctype html>"
