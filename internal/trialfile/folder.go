package trialfile

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// folder is the trial's own folder. Nothing outside it is read, also not by way
// of a symbolic link.
type folder struct {
	root  *os.Root
	shown string                       // prefix of file names in messages
	trial string                       // the trial file's own name
	sums  map[string][sha256.Size]byte // of each file that was named, by path

	changed map[string][]byte // bytes that stand in for those of a file, by path
}

// read gives the bytes of a file, which hold until the next is read.
func (f *folder) read(name string, limit int64, w *workspace) ([]byte, error) {
	b, ok := f.changed[name]
	var err error
	if !ok {
		b, err = w.readRegular(f.root, filepath.FromSlash(name), limit)
	}
	if err == nil {
		f.sums[name] = sha256.Sum256(b)
	}
	return b, err
}

// hash is SHA-256 over one line for each file, sorted by path: the path, a
// zero byte, the SHA-256 of the file in hexadecimal, a line feed.
func (f *folder) hash() (sum string, files []string) {
	files = slices.Sorted(maps.Keys(f.sums))
	var text []byte
	for _, name := range files {
		sum := f.sums[name]
		text = append(append(text, name...), 0)
		text = append(hex.AppendEncode(text, sum[:]), '\n')
	}
	of := sha256.Sum256(text)
	return hex.EncodeToString(of[:]), files
}

// inFolder cleans a path from a file and reports one that leaves the folder.
func (r *reader) inFolder(it *item) (string, bool) {
	s, ok := r.one(it, "the name of a file")
	if !ok {
		return "", false
	}
	slashed := strings.ReplaceAll(s, `\`, "/")
	drive := len(s) > 1 && s[1] == ':' && ('a' <= s[0]|0x20 && s[0]|0x20 <= 'z')
	switch {
	case strings.TrimSpace(s) == "":
		r.fail(it.at, "bad-path", "an empty text names no file", "write the name of a file beside this one, or delete the key")
	case strings.Contains(s, "://"):
		r.fail(it.at, "bad-path", quote(s)+" is an address, not a file", "save the file beside the trial file and write "+path.Base(s))
	case strings.ContainsRune(s, 0):
		r.fail(it.at, "bad-path", "the path holds a zero byte", "write the name of a file beside this one")
	case path.IsAbs(s), drive, strings.HasPrefix(s, `\`), strings.HasPrefix(s, "~/"):
		r.fail(it.at, "outside-folder", quote(s)+" is an absolute path", "put the file beside the trial file and write "+path.Base(slashed))
	case !filepath.IsLocal(slashed):
		r.fail(it.at, "outside-folder", quote(s)+" leads outside the folder of the trial", "put the file beside the trial file and write "+path.Base(slashed))
	case slashed != s:
		r.fail(it.at, "bad-path", quote(s)+" has backslashes", "write "+slashed)
	case path.Clean(s) == r.folder.trial:
		r.fail(it.at, "bad-path", quote(s)+" is the trial file itself", "write the name of another file beside it")
	default:
		return path.Clean(s), true
	}
	return "", false
}

// named reads a file that the trial names. What the file is for tells whether
// it may still be missing: a sheet may, as long as nothing is cooked.
func (r *reader) named(it *item, limit int64, mayLack bool) (name string, b []byte, ok bool) {
	name, ok = r.inFolder(it)
	if !ok {
		return "", nil, false
	}
	b, err := r.folder.read(name, limit, r.work)
	if err == nil {
		return name, b, true
	}
	var lim limitError
	switch {
	case errors.Is(err, fs.ErrNotExist) && mayLack && r.planned():
		r.say(diag.Note, it.at, "missing-file", fmt.Sprintf("%s is not there yet", quote(name)), "", "")
	case errors.Is(err, fs.ErrNotExist):
		r.fail(it.at, "missing-file", fmt.Sprintf("there is no file %s in the folder of the trial", quote(name)), r.nearestFile(name))
	case errors.As(err, &lim):
		r.fail(it.at, "too-large", fmt.Sprintf("%s has %d bytes; at most %d are read", quote(name), lim.size, lim.limit), "split the trial, or leave out what is not needed")
	case errors.Is(err, errNotRegular):
		r.fail(it.at, "bad-path", quote(name)+" is not a plain file", "write the name of a file beside this one")
	case errors.Is(err, fs.ErrPermission):
		r.fail(it.at, "unreadable", quote(name)+" cannot be read", "check its permissions")
	case strings.Contains(err.Error(), "escapes"):
		r.fail(it.at, "outside-folder", quote(name)+" is a link that leads outside the folder of the trial", "put the file itself beside the trial file")
	default:
		r.fail(it.at, "unreadable", quote(name)+" cannot be read", "check that it is a plain file")
	}
	return name, nil, false
}

// planned reports whether sheets may still be missing.
func (r *reader) planned() bool {
	s := r.t.Status
	return s.Known && (s.V == trial.Idea || s.V == trial.Planned)
}

func (r *reader) nearestFile(name string) string {
	dir := path.Dir(name)
	f, err := r.folder.root.Open(filepath.FromSlash(dir))
	if err == nil {
		names, _ := f.Readdirnames(1000) // what cannot be listed is not suggested
		_ = f.Close()                    // nothing was written
		slices.Sort(names)
		if n, ok := diag.Nearest(path.Base(name), names); ok {
			return "did you mean " + path.Join(dir, n) + "?"
		}
	}
	return "check the name, or put the file beside the trial file"
}

// display is the name of a file in messages.
func (f *folder) display(name string) string {
	if f.shown == "" {
		return name
	}
	return path.Join(filepath.ToSlash(f.shown), name)
}

// readPath reads a path for later; the file is opened when all is known.
func readPath(r *reader, it *item) trial.Opt[string] {
	if s, ok := r.inFolder(it); ok {
		return trial.SomeAt(s, it.at.pos)
	}
	return trial.Opt[string]{}
}

func writePath(p trial.Opt[string]) *item {
	if !p.Known {
		return nil
	}
	return textItem(p.V)
}

// pathItem makes an item of a path that was read before.
func pathItem(p trial.Opt[string]) *item {
	return &item{kind: scalar, text: p.V, at: here(p.At)}
}
