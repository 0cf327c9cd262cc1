package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// planFiles is where a plan is read from and written to.
type planFiles struct {
	from, to               string // the trial file, and the one to write
	key, scores, triangles string // tables, relative to the folder of both
	again                  bool
	own                    []string // files of the trial, which --again may write anew
	people                 bool     // somebody tastes
	scored                 bool     // and scores what they taste
	wrote                  []string // as they are shown
}

func splitLines(s string) []string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimSuffix(lines[i], "\r")
	}
	return lines
}

// destination decides on the files, and refuses names that are taken.
func (f *planFlags) destination(cmd *cobra.Command, path string, t *trial.Trial) (*planFiles, error) {
	d := &planFiles{from: path, to: path, again: f.again, own: t.Origin.Files}
	if f.out != "" {
		if err := spare(cmd, "out", f.out, path, t); err != nil {
			return nil, err
		}
		switch _, err := os.Lstat(f.out); {
		case err == nil:
			return nil, usagef(cmd, "%s exists already", f.out).hint("choose another name")
		case !errors.Is(err, fs.ErrNotExist):
			return nil, err
		}
		if err := folderOf(f.out); err != nil {
			return nil, err
		}
		if len(t.Origin.Files) > 1 && !sameFolder(path, f.out) {
			return nil, usagef(cmd, "--out %s: the trial names files of its own folder, so the plan has to lie there too", f.out)
		}
		d.to = f.out
	}
	stem := strings.TrimSuffix(filepath.Base(d.to), filepath.Ext(d.to))
	d.key, d.scores, d.triangles = stem+"-key.csv", stem+"-scores.csv", stem+"-triangles.csv"
	if f.out == "" && t.Panel.Known { // a plan beside the trial has tables of its own
		d.key, d.scores, d.triangles = t.Panel.V.KeyFile.Or(d.key), t.Panel.V.ScoresFile.Or(d.scores), t.Panel.V.TrianglesFile.Or(d.triangles)
	}
	return d, nil
}

// write composes all files, reads them back, and only then writes them, the
// trial file last: a trial never names a table that is not there.
func (d *planFiles) write(cmd *cobra.Command, p *design.Plan) error {
	d.scored = p.Serving != nil
	d.people = d.scored || p.Triangles != nil
	before, err := os.ReadFile(d.from)
	if err != nil {
		return err
	}
	text, tables, err := d.compose(before, p.Trial)
	if err != nil {
		return err
	}
	folder := filepath.Dir(d.to)
	for _, f := range tables {
		path := filepath.Join(folder, filepath.FromSlash(f.Name))
		if _, err := os.Lstat(path); err == nil && !(d.again && d.to == d.from && slices.Contains(d.own, f.Name)) {
			return usagef(cmd, "%s exists already", path).hint("move it away, or name another file in the panel of the trial")
		}
		if err := writable(path); err != nil {
			return err
		}
	}
	if err := d.sound(cmd, text, tables); err != nil {
		return err
	}
	all := append(tables, trialfile.File{Name: filepath.Base(d.to), Data: text})
	if err := trialfile.WriteFiles(folder, all); err != nil {
		return err
	}
	for _, f := range all {
		d.wrote = append(d.wrote, inFolderOf(d.to, f.Name))
	}
	return nil
}

// compose puts the plan into the text of the trial file, and makes its tables.
func (d *planFiles) compose(text []byte, t *trial.Trial) ([]byte, []trialfile.File, error) {
	type step struct {
		value string
		path  []string
	}
	steps := []step{{string(t.Status.V), []string{"status"}}}
	keys := []string{"cooks", "drawn"}
	var tables []trialfile.File
	if d.people {
		p := t.Panel.V
		had := p.KeyFile.Known || p.ScoresFile.Known || p.TrianglesFile.Known || !t.Panel.At.IsZero()
		p.KeyFile = trial.Some(d.key)
		steps = append(steps, step{d.key, []string{"panel", "key"}})
		if d.scored {
			p.ScoresFile = trial.Some(d.scores)
			steps = append(steps, step{d.scores, []string{"panel", "scores"}}, step{string(p.Plan.V), []string{"panel", "plan"}})
		}
		if len(p.Triangles) > 0 {
			p.TrianglesFile = trial.Some(d.triangles)
			steps = append(steps, step{d.triangles, []string{"panel", "triangles"}})
		}
		t.Panel.V = p
		if had {
			steps = append(steps, step{map[bool]string{true: "yes", false: "no"}[p.Blind.V], []string{"panel", "blind"}})
		} else {
			steps, keys = steps[:1], append(keys, "panel")
		}
		for _, f := range trialfile.Files(t, filepath.Base(d.to), trialfile.Style{}) {
			if f.Name == d.key || d.scored && f.Name == d.scores || len(p.Triangles) > 0 && f.Name == d.triangles {
				tables = append(tables, f)
			}
		}
	}
	var err error
	for _, s := range steps {
		if text, err = trialfile.Set(text, s.value, s.path...); err != nil {
			return nil, nil, err
		}
	}
	if t.Design.Known && len(t.Design.V.Factors) > 0 {
		keys = append([]string{"factors"}, keys...)
	}
	if text, err = trialfile.SetFrom(text, t, keys...); err != nil {
		return nil, nil, err
	}
	return text, tables, nil
}

// sound reads what is to be written, in a folder of its own with the other files
// of the trial, so that nothing is written that check would not take.
func (d *planFiles) sound(cmd *cobra.Command, text []byte, tables []trialfile.File) error {
	dir, err := os.MkdirTemp("", "tamis-plan-")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	put := func(name string, data []byte) error {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return err
		}
		return os.WriteFile(path, data, 0o600)
	}
	for _, name := range d.own {
		if name == filepath.Base(d.from) {
			continue
		}
		b, err := os.ReadFile(filepath.Join(filepath.Dir(d.from), filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		if err := put(name, b); err != nil {
			return err
		}
	}
	for _, f := range tables {
		if err := put(f.Name, f.Data); err != nil {
			return err
		}
	}
	base := filepath.Base(d.to)
	if err := put(base, text); err != nil {
		return err
	}
	_, messages, err := trialfile.Read(filepath.Join(dir, base), vocabulary())
	if err != nil {
		return err
	}
	for _, m := range messages.Sorted() {
		if m.Severity == diag.Error {
			return usagef(cmd, "the plan would not be a sound trial: %s", m.Text).hint(m.Hint)
		}
	}
	return nil
}
