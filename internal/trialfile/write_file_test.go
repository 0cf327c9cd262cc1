package trialfile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
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
