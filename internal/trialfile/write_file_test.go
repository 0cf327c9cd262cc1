package trialfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The last of three files cannot take its place: the first keeps its bytes, the
// second is not there, and nothing is left over.
func TestWriteFilesAllOrNone(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a"), []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	err := WriteFiles(dir, []File{{"a", []byte("new")}, {"b", []byte("new")}, {"none/c", []byte("new")}})
	var pe *fs.PathError
	if !errors.As(err, &pe) || pe.Path != filepath.Join(dir, "none", "c") {
		t.Errorf("the error names not the file: %v", err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("left in the folder: %v, %v", entries, err)
	}
	if b, err := os.ReadFile(filepath.Join(dir, "a")); err != nil || string(b) != "old" {
		t.Errorf("a is %q, %v", b, err)
	}
	if err := WriteFiles(dir, []File{{"a", []byte("new")}, {"b", nil}}); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(filepath.Join(dir, "a"))
	if err != nil || info.Mode().Perm() != 0o600 || info.Size() != 3 {
		t.Errorf("a: %v, %v", info, err)
	}
	if _, err := os.Stat(filepath.Join(dir, "b")); err != nil {
		t.Error(err)
	}
	if err := WriteFiles(dir, nil); err != nil {
		t.Error(err)
	}
}

// A place that is taken when the files change places: what was done is undone.
func TestWriteFilesUndoes(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a"), []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	// A folder cannot be replaced by a file.
	if err := os.Mkdir(filepath.Join(dir, "d"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := WriteFiles(dir, []File{{"a", []byte("new")}, {"d", []byte("new")}}); err == nil {
		t.Error("a folder was replaced")
	}
	if b, err := os.ReadFile(filepath.Join(dir, "a")); err != nil || string(b) != "old" {
		t.Errorf("a is %q, %v", b, err)
	}
}

// Whichever of several files cannot take its place, those before it get their old
// bytes and mode back or are gone again, and nothing is left beside them. This test
// changes a variable of the package, so it does not run beside others.
func TestWriteFilesUndoesAFailedRename(t *testing.T) {
	defer func() { rename = os.Rename }()
	names := []string{"a.yaml", "new.csv", "b.csv", "empty.csv", "last.csv"}
	old := map[string]string{"a.yaml": "old a", "b.csv": "old b", "empty.csv": ""}
	for fails := range names {
		dir := t.TempDir()
		for name, text := range old {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o640); err != nil {
				t.Fatal(err)
			}
		}
		var files []File
		for _, n := range names {
			files = append(files, File{n, []byte("new " + n)})
		}
		broken := errors.New("the disk is gone")
		rename = func(from, to string) error {
			if filepath.Base(to) == names[fails] {
				return &os.LinkError{Op: "rename", Old: from, New: to, Err: broken}
			}
			return os.Rename(from, to)
		}
		err := WriteFiles(dir, files)
		if !errors.Is(err, broken) || !strings.Contains(err.Error(), names[fails]) || strings.Contains(err.Error(), "."+names[fails]+".") {
			t.Errorf("%s: the error is %v", names[fails], err)
		}
		left, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range left {
			b, err := os.ReadFile(filepath.Join(dir, f.Name()))
			info, _ := f.Info()
			if want, was := old[f.Name()]; !was || err != nil || string(b) != want || info.Mode().Perm() != 0o640 {
				t.Errorf("%s cannot be replaced: %s is left with %q, mode %v (%v)", names[fails], f.Name(), b, info.Mode(), err)
			}
		}
		if len(left) != len(old) {
			t.Errorf("%s cannot be replaced: %d files are left of %d", names[fails], len(left), len(old))
		}
	}
}
