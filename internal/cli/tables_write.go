package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/trialfile"
)

const (
	explanationName = "README.txt"
	tableMark       = "Tables written by tamis"
)

// tableFolder is a folder that tables may be written to.
type tableFolder struct {
	path string
	// swap says that the folder can be put in place as a whole: it does not exist,
	// is empty, or holds nothing but older tables.
	swap bool
}

// openTableFolder looks at the folder and refuses one that holds something else
// than tables, unless forced.
func openTableFolder(cmd *cobra.Command, path string, force bool) (*tableFolder, error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // a link stays one
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if parent, err := os.Stat(filepath.Dir(path)); err != nil {
			return nil, err
		} else if !parent.IsDir() {
			return nil, fmt.Errorf("%s: not a folder", filepath.Dir(path))
		}
		return &tableFolder{path: path, swap: true}, nil
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
		return &tableFolder{path: path, swap: true}, nil
	}
	if !force {
		return nil, usagef(cmd, "--csv %s: the folder holds other files", path).hint("choose a new folder, or --force to write among them")
	}
	return &tableFolder{path: path}, nil
}

// tableNames are the files that a folder of tables may hold.
var tableNames = map[string]bool{explanationName: true, "long.csv": true, "units.csv": true, "means.csv": true, "differences.csv": true,
	"curve.csv": true, "window.csv": true, "chance.csv": true, "variance.csv": true, "tests.csv": true}

func isTableFolder(path string, entries []os.DirEntry) bool {
	for _, e := range entries {
		if !tableNames[e.Name()] || !e.Type().IsRegular() {
			return false
		}
	}
	b, err := os.ReadFile(filepath.Join(path, explanationName))
	return err == nil && strings.HasPrefix(string(b), tableMark)
}

// write puts the tables in place: as a whole folder where that is possible, so
// that there is never half of one, else file by file.
func (f *tableFolder) write(tables []table) (err error) {
	into := f.path
	if f.swap {
		if into, err = os.MkdirTemp(filepath.Dir(f.path), ".tamis-tables-"); err != nil {
			return err
		}
		defer func() { _ = os.RemoveAll(into) }() // nothing is left there on success
	}
	for _, t := range tables {
		b, err := t.bytes()
		if err != nil {
			return err
		}
		if err := trialfile.WriteFile(filepath.Join(into, t.name), b); err != nil {
			return err
		}
	}
	if !f.swap {
		return nil
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
	if err := w.WriteAll(t.rows); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
