package cli

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/trialfile"
)

// An error names the path that was typed, not the file beside it.
func TestErrorsNameWhatWasTyped(t *testing.T) {
	t.Parallel()
	for _, err := range []error{
		&fs.PathError{Op: "open", Path: "w/.a.html.123", Err: fs.ErrPermission},
		&os.LinkError{Op: "rename", Old: "w/.a.html.123", New: "w/a.html", Err: fs.ErrPermission},
	} {
		got := trialfile.AtPath("w/a.html", err)
		if !errors.Is(got, fs.ErrPermission) || plainError(got) != "w/a.html: no permission" {
			t.Errorf("%v becomes %q", err, plainError(got))
		}
	}
	if trialfile.AtPath("a", nil) != nil {
		t.Error("no error became one")
	}
	own := errors.New("not of the file system")
	if got := trialfile.AtPath("a", own); !errors.Is(got, own) {
		t.Errorf("%v became %v", own, got)
	}
}

// A text for a trial is UTF-8; the name of a file may be any bytes.
func TestNewRefusesBrokenText(t *testing.T) {
	t.Parallel()
	for _, flag := range []string{"--title", "--by", "--measures", "--aim"} {
		code, out, errs := run(t.Context(), "new", flag, "\xff\xfe")
		if code != ExitUsage || out != "" || !strings.Contains(errs, flag+" is not UTF-8 text") {
			t.Errorf("%s: code %d, output %q, messages %q", flag, code, out, errs)
		}
	}
	path := filepath.Join(t.TempDir(), "a\xff.yaml")
	if code, _, errs := run(t.Context(), "new", "--out", path); code != ExitDone {
		t.Errorf("a file name of any bytes: code %d, %s", code, errs)
	}
}

// No name is no measure, and all names are not asked for by it.
func TestEmptyMeasure(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"", " ", "firmness,,liking"} {
		code, out, errs := run(t.Context(), "fit", "--measure", name, filepath.Join(root(t), trialFiles[3]))
		if code != ExitUsage || out != "" || !strings.Contains(errs, "--measure needs the name of a measure") {
			t.Errorf("%q: code %d, output %q, messages %q", name, code, out, errs)
		}
	}
}
