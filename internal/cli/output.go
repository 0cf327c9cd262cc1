package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// errNoFolder words a folder that is missing; a missing file reads otherwise.
var errNoFolder = errors.New("there is no such folder")

// spare refuses an output that is a file of a trial, by whatever name: another
// spelling of the path and links of either kind are the same file. path is the
// trial file, t what was read from it.
func spare(cmd *cobra.Command, flag, out, path string, t *trial.Trial) error {
	target, err := os.Stat(out)
	if err != nil {
		return nil // nothing is there to lose
	}
	if own, err := os.Stat(path); err == nil && os.SameFile(own, target) {
		return usagef(cmd, "--%s %s is the trial file itself", flag, out).hint("choose another name")
	}
	for _, f := range t.Origin.Files {
		own, err := os.Stat(filepath.Join(filepath.Dir(path), filepath.FromSlash(f)))
		if err == nil && os.SameFile(own, target) {
			return usagef(cmd, "--%s %s is %s, a file of the trial itself", flag, out, f).hint("choose another name")
		}
	}
	return nil
}

// writeFile writes a file, all or nothing. Its errors name the path as it was
// typed, not the file beside it that is renamed at the end.
func writeFile(path string, data []byte) error { return trialfile.WriteFile(path, data) }

// writable refuses a place that a file cannot be written to: a folder, or a
// name in a folder that is not there.
func writable(path string) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return &fs.PathError{Op: "write", Path: path, Err: errors.New("this is a folder, and a file name is needed")}
	case err == nil || !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return folderOf(path)
}

// folderOf refuses a name in a folder that is not there.
func folderOf(path string) error {
	dir := filepath.Dir(path)
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &fs.PathError{Op: "open", Path: dir, Err: errNoFolder}
	case err != nil:
		return err
	case !info.IsDir():
		return &fs.PathError{Op: "open", Path: dir, Err: errors.New("this is not a folder")}
	}
	return nil
}
