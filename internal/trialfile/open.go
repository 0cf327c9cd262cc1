package trialfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
)

// limitError says that a file is larger than what is read.
type limitError struct{ size, limit int64 }

func (e limitError) Error() string {
	return fmt.Sprintf("the file has %d bytes; at most %d are read", e.size, e.limit)
}

var errNotRegular = errors.New("it is not a plain file")

// opener is what files are opened in: a folder (*os.Root), or the whole disk.
type opener interface {
	OpenFile(name string, flag int, perm fs.FileMode) (*os.File, error)
	Stat(name string) (fs.FileInfo, error)
}

// atPath opens files wherever they are.
type atPath struct{}

func (atPath) OpenFile(name string, flag int, perm fs.FileMode) (*os.File, error) {
	return os.OpenFile(name, flag, perm)
}
func (atPath) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

// readRegular reads a plain file up to a limit. A pipe or a device is refused, and
// not waited for. The bytes hold until the next file is read.
func (w *workspace) readRegular(in opener, name string, limit int64) (b []byte, err error) {
	f, err := in.OpenFile(name, os.O_RDONLY|doNotWait, 0)
	if err != nil {
		if info, no := in.Stat(name); no == nil && !info.Mode().IsRegular() { // a socket, say
			return nil, errNotRegular
		}
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errNotRegular
	}
	if info.Size() > limit {
		return nil, limitError{info.Size(), limit}
	}
	w.bytes = slices.Grow(w.bytes[:0], int(info.Size())+1)
	for {
		n, err := f.Read(w.bytes[len(w.bytes):cap(w.bytes)])
		w.bytes = w.bytes[:len(w.bytes)+n]
		switch {
		case errors.Is(err, io.EOF), err == nil && int64(len(w.bytes)) == info.Size() && info.Size() > 0:
			return w.bytes, nil
		case err != nil:
			return nil, err
		case int64(len(w.bytes)) > limit: // it grew meanwhile
			return nil, limitError{int64(len(w.bytes)), limit}
		}
		w.bytes = slices.Grow(w.bytes, 1)
	}
}
