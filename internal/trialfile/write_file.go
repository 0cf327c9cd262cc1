package trialfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteFile writes a file all or nothing: to a new file in the same folder,
// which then takes the place of the old one and keeps its mode. A symbolic link
// stays one; its target is replaced.
func WriteFile(path string, data []byte) error {
	s, err := stage(path, data)
	if err == nil {
		err = s.commit()
	}
	return AtPath(path, err)
}

// AtPath puts the path that was asked for in the place of the one that failed,
// such as that of the new file beside it. Errors without a path stay as they are.
func AtPath(path string, err error) error {
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		return &fs.PathError{Op: pe.Op, Path: path, Err: pe.Err}
	case errors.As(err, &le):
		return &fs.PathError{Op: le.Op, Path: path, Err: le.Err}
	}
	return err
}

// WriteFiles writes several files into a folder, in their order, as WriteFile
// does, and all of them or none: everything is on the disk before the first takes
// its place, and where one cannot take it the others get their old bytes back, or
// are gone again. Names are relative to the folder, with slashes. The path that
// could not be written is that of the error.
func WriteFiles(folder string, files []File) (err error) {
	var staged []*stagedFile
	defer func() {
		for _, s := range staged {
			err = errors.Join(err, s.discard())
		}
	}()
	var old []File
	for _, f := range files {
		path := filepath.Join(folder, filepath.FromSlash(f.Name))
		b, err := os.ReadFile(path)
		switch {
		case err == nil:
			old = append(old, File{path, b})
		case !errors.Is(err, fs.ErrNotExist):
			return err
		default:
			old = append(old, File{Name: path})
		}
		s, err := stage(path, f.Data)
		if err != nil {
			return AtPath(path, err)
		}
		staged = append(staged, s)
	}
	for i, s := range staged {
		if err := AtPath(old[i].Name, s.commit()); err != nil {
			for _, f := range old[:i] {
				if f.Data == nil {
					err = errors.Join(err, os.Remove(f.Name))
				} else {
					err = errors.Join(err, WriteFile(f.Name, f.Data))
				}
			}
			return err
		}
	}
	return nil
}

// stagedFile is a whole file beside the one whose place it is to take.
type stagedFile struct {
	temporary, path string
	done            bool
}

// stage writes data beside path.
func stage(path string, data []byte) (_ *stagedFile, err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := os.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		if !info.Mode().IsRegular() {
			return nil, fmt.Errorf("%s: %w", path, errNotRegular)
		}
		mode = info.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			_ = f.Close()           // the first error is the one to tell
			_ = os.Remove(f.Name()) // the same
		}
	}()
	if _, err = f.Write(data); err != nil {
		return nil, err
	}
	if err = f.Chmod(mode); err != nil {
		return nil, err
	}
	if err = f.Sync(); err != nil {
		return nil, err
	}
	if err = f.Close(); err != nil {
		return nil, err
	}
	return &stagedFile{temporary: f.Name(), path: path}, nil
}

// rename is os.Rename; tests make it fail.
var rename = os.Rename

// commit puts the file into its place.
func (s *stagedFile) commit() error {
	if err := rename(s.temporary, s.path); err != nil {
		return errors.Join(err, s.discard())
	}
	s.done = true
	return nil
}

// discard removes a file that did not take its place.
func (s *stagedFile) discard() error {
	if s.done {
		return nil
	}
	s.done = true
	return os.Remove(s.temporary)
}
