package cli

import (
	"errors"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// typeInto prints a sheet of a trial to type into, or writes it to a file that
// is not there yet. The verb of the same name brings it back in.
func (a *app) typeInto(cmd *cobra.Command, f *scoreFlags, path, verb string, sheet func(*cobra.Command, string, *trial.Trial) ([]byte, error)) error {
	if f.out != "" {
		switch _, err := os.Lstat(f.out); {
		case err == nil:
			return usagef(cmd, "%s exists already", f.out).hint("choose another name; what was typed is not overwritten")
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
		if err := folderOf(f.out); err != nil {
			return err
		}
	}
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	text, err := sheet(cmd, path, t)
	if err != nil {
		return err
	}
	if f.out == "" {
		_, err := a.out.Write(text)
		return err
	}
	if err := writeFile(f.out, text); err != nil {
		return err
	}
	out := diag.Clean(f.out)
	a.printf("wrote %s\nnext: type the %s into it, then  tamis %s %s %s\n", out, verb, verb, out, diag.Clean(path))
	return nil
}
