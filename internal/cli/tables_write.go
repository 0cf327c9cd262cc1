package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/csvcell"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

const (
	explanationName = "README.txt"
	tableMark       = "Tables written by tamis"
)

// tableFolder is a folder that tables may be written to.
type tableFolder struct {
	path  string
	typed string // as the user wrote it
	// swap says that the folder can be put in place as a whole: it does not exist,
	// is empty, or holds nothing but older tables.
	swap bool
}

// openTableFolder looks at the folder and refuses one that holds something else
// than tables, unless forced.
func openTableFolder(cmd *cobra.Command, path string, force bool) (*tableFolder, error) {
	asTyped := path
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // a link stays one
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := folderOf(path); err != nil {
			return nil, err
		}
		return &tableFolder{path: path, typed: asTyped, swap: true}, nil
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, usagef(cmd, "--csv %s: this is a file, and a folder is needed", path)
	}
	entries, err := os.ReadDir(path)
	if err != nil {
		return nil, err
	}
	if len(entries) == 0 || isTableFolder(path, entries) {
		return &tableFolder{path: path, typed: asTyped, swap: true}, nil
	}
	if !force {
		return nil, usagef(cmd, "--csv %s: the folder holds other files", path).hint("choose a new folder, or --force to write among them")
	}
	return &tableFolder{path: path, typed: asTyped}, nil
}

// tableNames are the files that a folder of tables may hold.
var tableNames = map[string]bool{explanationName: true, "long.csv": true, "units.csv": true, "means.csv": true, "differences.csv": true,
	"curve.csv": true, "window.csv": true, "chance.csv": true, "variance.csv": true, "tests.csv": true, "verdicts.csv": true}

func isTableFolder(path string, entries []os.DirEntry) bool {
	for _, e := range entries {
		if !tableNames[e.Name()] || !e.Type().IsRegular() {
			return false
		}
	}
	b, err := os.ReadFile(filepath.Join(path, explanationName))
	return err == nil && strings.HasPrefix(string(b), tableMark)
}

// spare refuses a folder in which a table would replace a file of the trial.
func (f *tableFolder) spare(cmd *cobra.Command, path string, t *trial.Trial) error {
	names := make([]string, 0, len(tableNames))
	for name := range tableNames {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		if err := spare(cmd, "csv", filepath.Join(f.typed, name), path, t); err != nil {
			return err
		}
	}
	return nil
}

// write puts the tables in place: as a whole folder where that is possible, so
// that there is never half of one, else file by file.
func (f *tableFolder) write(tables []table) error {
	if f.swap {
		return trialfile.AtPath(f.typed, f.replace(tables))
	}
	return f.fill(f.path, tables, f.typed)
}

// fill writes the tables into a folder. Errors name the folder as shown.
func (f *tableFolder) fill(into string, tables []table, shown string) error {
	for _, t := range tables {
		b, err := t.bytes()
		if err != nil {
			return err
		}
		if err := trialfile.WriteFile(filepath.Join(into, t.name), b); err != nil {
			return trialfile.AtPath(filepath.Join(shown, t.name), err)
		}
	}
	return nil
}

// replace fills a new folder and puts it in the place of the old one.
func (f *tableFolder) replace(tables []table) error {
	into, err := os.MkdirTemp(filepath.Dir(f.path), ".tamis-tables-")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(into) }() // nothing is left there on success
	if err := f.fill(into, tables, f.typed); err != nil {
		return err
	}
	if err := os.Chmod(into, 0o755); err != nil {
		return err
	}
	old := into + "-old"
	if err := os.Rename(f.path, old); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.Rename(into, f.path); err != nil {
		_ = os.Rename(old, f.path) // put back what was there
		return err
	}
	return os.RemoveAll(old)
}

func (t *table) bytes() ([]byte, error) {
	if t.name == explanationName {
		return []byte(t.note), nil
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.Write(t.head); err != nil {
		return nil, err
	}
	for _, r := range t.rows {
		if err := w.Write(csvcell.InertRow(r)); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
