package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/report/photo"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// kindsOfPage are whom a page can be for, in the order in which --all writes
// them. A new page is one more entry.
var kindsOfPage = []struct {
	name string
	make func(*pageRun) ([]byte, error)
}{
	{"kitchen", func(p *pageRun) ([]byte, error) { return report.Kitchen(p.result, p.options()) }},
	{"science", func(p *pageRun) ([]byte, error) {
		return report.Science(p.result, report.Record{Trial: p.trial, Heat: p.heated(), Command: p.command}, p.options())
	}},
	{"readers", (*pageRun).readers},
}

func pageNames() (names []string) {
	for _, k := range kindsOfPage {
		names = append(names, k.name)
	}
	return names
}

// oneOfThem is "kitchen, science or readers".
func oneOfThem(names []string) string {
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// reportFlags is what was asked for.
type reportFlags struct {
	common
	opt                                      texture.Options
	thresholds                               thresholdFlags
	over                                     []trial.Threshold // what they say
	reader, out, numbers, index              string
	static, article, draft, all, open, stale bool
}

// heated is what the heat did, computed once.
func (p *pageRun) heated() *answer.Heat {
	if p.heat == nil {
		p.heat = answer.HeatOf(p.trial, answer.HeatOptions{})
	}
	return p.heat
}

// pageRun is one trial from which pages are made.
type pageRun struct {
	reportFlags
	heat   *answer.Heat
	sys    quantity.System
	trial  *trial.Trial
	result *answer.Result
	shots  []report.Shot
	// command writes the science report again.
	command string
}

func (p *pageRun) options() report.Options {
	return report.Options{Units: p.sys, Live: !p.static}
}

func (p *pageRun) readers() ([]byte, error) {
	w := report.Writeup{Trial: p.trial, Photos: p.shots, Draft: p.draft}
	if p.article {
		return report.Article(p.result, w, p.options())
	}
	return report.Readers(p.result, w, p.options())
}

func (a *app) reportCmd() *cobra.Command {
	var f reportFlags
	cmd := &cobra.Command{
		Use:   "report --for READER --out FILE TRIAL",
		Short: "write the page of a trial",
		Long: `report analyses a trial and writes one HTML page that needs nothing else: it
opens from a memory stick, prints, and reads on a phone. A file of that name is
replaced, all or nothing. --all writes every page into a folder.

The page for readers tells the story in the notes of the file, which are
Markdown, with its photos. It is made only as a draft, marked on every sheet,
while a finding blocks what the trial set out to show, or while its words call
something safe that the heat did not make so; without --draft the exit code is
then 4. --article writes it as a fragment of plain HTML to paste into a site.

--stale writes nothing and says whether a page, or each page of a folder, is
still that of the trial; when one is not, the exit code is 4. --index lists the
pages of a folder in its index.html.`,
		Example: `  tamis report --for kitchen --out pollack.html trials/pollack/pollack.yaml
  tamis report --for readers --draft --out trout.html trials/trout/trout.yaml
  tamis report --all --out . trials/chicken/chicken.yaml
  tamis report --stale --out . trials/chicken/chicken.yaml
  tamis report --index .`,
		Args: func(cmd *cobra.Command, args []string) error {
			if f.index != "" && len(args) == 0 {
				return nil
			}
			return oneFile(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := f.system(cmd)
			if err != nil {
				return err
			}
			if err := f.check(cmd, args); err != nil {
				return err
			}
			if f.over, err = f.thresholds.parse(cmd); err != nil {
				return err
			}
			switch {
			case f.index != "":
				return a.writeIndex(cmd, f.index)
			case f.stale:
				return a.stalePages(cmd, &f, args[0])
			}
			return a.writePages(cmd, &pageRun{reportFlags: f, sys: sys, command: scienceCommand(cmd, args[0])}, args[0])
		},
	}
	f.add(cmd, false)
	fs := cmd.Flags()
	fs.StringVar(&f.units, "units", "metric", "what the page shows first: metric or us")
	fs.StringVar(&f.reader, "for", "", "whom it is for: "+oneOfThem(pageNames()))
	fs.StringVar(&f.out, "out", "", "the file to write; - is standard output; with --all the folder")
	fs.BoolVar(&f.all, "all", false, "write every page into the folder, each by the name of the trial and its reader")
	fs.BoolVar(&f.static, "static", false, "leave out the live charts: a smaller page without scripts")
	fs.BoolVar(&f.article, "article", false, "for readers: a fragment of plain HTML to paste into a site")
	fs.BoolVar(&f.draft, "draft", false, "for readers: make it whatever stands against it, then marked as a draft")
	fs.StringVar(&f.numbers, "numbers", "point", "how decimals are written: point or comma")
	fs.BoolVar(&f.open, "open", false, "show the page in the browser")
	fs.BoolVar(&f.stale, "stale", false, "say whether pages are still those of the trial, and write nothing")
	fs.StringVar(&f.index, "index", "", "write the index.html of a folder of pages")
	fs.Uint64Var(&f.opt.Seed, "seed", texture.DefaultSeed, "where the draws start from")
	fs.IntVar(&f.opt.Draws, "draws", texture.DefaultDraws, "how often the cooks are redrawn")
	fs.Float64Var(&f.opt.Level, "level", texture.DefaultLevel, "level of the intervals")
	fs.StringVar(&f.opt.Type, "type", "II", "type of the sums of squares: I, II or III")
	f.thresholds.add(fs)
	return cmd
}

// check refuses what does not go together.
func (f *reportFlags) check(cmd *cobra.Command, args []string) error {
	known := slices.Contains(pageNames(), f.reader)
	switch {
	case f.index != "" && (len(args) > 0 || f.out != "" || f.reader != "" || f.all || f.stale):
		return usagef(cmd, "--index takes a folder and nothing else").hint("tamis report --index FOLDER")
	case f.index != "":
		return nil
	case f.stale && f.out == "":
		return usagef(cmd, "--stale needs --out").hint("write --out FILE.html, or --out FOLDER for every page of the trial in it")
	case f.stale && (f.out == "-" || f.open):
		return usagef(cmd, "--stale looks at pages that were written; it needs their name")
	case f.stale:
		return nil
	case f.all && f.reader != "":
		return usagef(cmd, "--all and --for exclude each other").hint("--all writes every page")
	case f.all && (f.out == "" || f.out == "-"):
		return usagef(cmd, "--all needs a folder").hint("write --out FOLDER; it is made if it is not there")
	case f.all && f.article:
		return usagef(cmd, "--all and --article exclude each other").hint("write --for readers --article")
	case !f.all && f.reader == "":
		return usagef(cmd, "report needs --for").hint("write --for " + strings.Join(pageNames(), " or --for ") + ", or --all")
	case !f.all && !known:
		return usagef(cmd, "--for %q: write %s", f.reader, oneOfThem(pageNames()))
	case (f.article || f.draft) && !f.all && f.reader != "readers":
		return usagef(cmd, "--article and --draft belong to --for readers")
	case f.out == "":
		return usagef(cmd, "report needs --out").hint("write --out FILE.html, or --out - for standard output")
	case f.open && f.out == "-":
		return usagef(cmd, "--open needs a file").hint("write --out FILE.html")
	case f.numbers != "point" && f.numbers != "comma":
		return usagef(cmd, "--numbers %q: write point or comma", f.numbers)
	}
	fit := fitFlags{common: f.common, opt: f.opt}
	return fit.check(cmd)
}

// target is one page to be written.
type target struct{ reader, path string }

// targets are the pages that were asked for; it makes the folder of --all.
func (p *pageRun) targets(path string) ([]target, error) {
	if !p.all {
		return []target{{p.reader, p.out}}, nil
	}
	switch info, err := os.Stat(p.out); {
	case errors.Is(err, fs.ErrNotExist):
		if err := folderOf(p.out); err != nil {
			return nil, err
		}
		if err := os.Mkdir(p.out, 0o777); err != nil {
			return nil, err
		}
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, &os.PathError{Op: "write", Path: p.out, Err: errors.New("this is a file, and a folder is needed")}
	}
	base := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	var out []target
	for _, name := range pageNames() {
		out = append(out, target{name, filepath.Join(p.out, base+"-"+name+".html")})
	}
	return out, nil
}

// writePages makes the pages and writes them. Everything that can be refused is
// looked at before the work, and no page is written before all are made.
func (a *app) writePages(cmd *cobra.Command, p *pageRun, path string) error {
	if !p.all && p.out != "-" {
		if err := writable(p.out); err != nil {
			return err
		}
	}
	t, err := a.read(path, &p.common)
	if err != nil {
		return err
	}
	targets, err := p.targets(path)
	if err != nil {
		return err
	}
	for _, to := range targets {
		if to.path != "-" {
			if err := overPage(cmd, to.path, path, t); err != nil {
				return err
			}
		}
	}
	p.trial = t
	if p.result, err = a.answer(cmd.Context(), t, answer.Options{Options: p.opt, Thresholds: p.over}); err != nil {
		return err
	}
	peopleOf(t, false).rename(p.result)
	refused := false
	pages := map[string][]byte{}
	for _, k := range kindsOfPage {
		if !p.all && k.name != p.reader {
			continue
		}
		if k.name == "readers" {
			if !p.draft && a.blocked(cmd, p.result, path) {
				refused = true
				continue
			}
			p.shots = a.photos(t, path)
		}
		page, err := k.make(p)
		if err != nil {
			return err
		}
		if p.numbers == "comma" {
			page = report.DecimalComma(page)
		}
		pages[k.name] = page
	}
	for _, to := range targets {
		page, ok := pages[to.reader]
		switch {
		case !ok:
		case to.path == "-":
			if _, err := a.out.Write(page); err != nil {
				return err
			}
		default:
			if err := writeFile(to.path, page); err != nil {
				return err
			}
			if p.open {
				if err := a.show(to.path); err != nil {
					return err
				}
			}
		}
	}
	if refused {
		return saidError{ExitFindings}
	}
	return nil
}

// blocked says why the page for readers may not be made, if so.
func (a *app) blocked(cmd *cobra.Command, r *answer.Result, path string) bool {
	why := answer.BlockedFor(r)
	if len(why) == 0 {
		return false
	}
	fmt.Fprintln(a.Err, "tamis: no page for readers, because of what stands against it:")
	for _, s := range why {
		fmt.Fprintln(a.Err, "  "+diag.Clean(s.Text(quantity.Metric)))
	}
	fmt.Fprintf(a.Err, "  --draft makes it, marked as a draft; tamis check %s says more\n", diag.Clean(path))
	return true
}

// photos reads the photos of a trial. What cannot be shown is left out and said.
func (a *app) photos(t *trial.Trial, path string) (shots []report.Shot) {
	for _, p := range t.Photos {
		if p.File == "" {
			continue
		}
		one, err := photo.Open(filepath.Dir(path), p.File)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			fmt.Fprintf(a.Err, "%s: %s is left out: it is not there\n", placeOf(p.Pos, path), diag.Clean(p.File))
			continue
		case err != nil:
			var pe *fs.PathError
			if errors.As(err, &pe) && !errors.Is(err, photo.ErrOutside) {
				err = pe.Err
			}
			fmt.Fprintf(a.Err, "%s: %s is left out: %s\n", placeOf(p.Pos, path), diag.Clean(p.File), diag.Clean(err.Error()))
			continue
		case strings.TrimSpace(p.Alt.V) == "":
			fmt.Fprintf(a.Err, "%s: %s has no alt: write what it shows, for those who cannot see it\n", placeOf(p.Pos, path), diag.Clean(p.File))
		}
		shots = append(shots, report.Shot{Of: p, Photo: one})
	}
	return shots
}

// placeOf is where something stands in a trial file.
func placeOf(at diag.Pos, path string) string {
	if at.IsZero() {
		return diag.Clean(path)
	}
	return diag.Clean(at.String())
}

// overPage refuses to write a page over a file of the trial, by whatever name,
// or over anything else that is not a page already.
func overPage(cmd *cobra.Command, out, path string, t *trial.Trial) error {
	if err := spare(cmd, "out", out, path, t); err != nil {
		return err
	}
	return overAnyPage(cmd, "out", out)
}

// overAnyPage refuses to write a page over anything that is not one already.
func overAnyPage(cmd *cobra.Command, flag, out string) error {
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
	if n > 0 && !strings.EqualFold(string(start[:n]), pageStart) && !strings.HasPrefix(string(start[:n]), fragmentStart) {
		return usagef(cmd, "--%s %s exists and is not a page", flag, out).hint("choose another name; only a page is replaced")
	}
	return nil
}

// What every page starts with, and every fragment: no longer than a page.
const (
	pageStart     = "<!doctype html>"
	fragmentStart = "<article class="
)
