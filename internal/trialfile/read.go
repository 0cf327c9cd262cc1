package trialfile

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Read reads a trial file and every file it names. All problems of all files
// are in the list, in order; the trial is nil when any of them is an error. The
// error result is a failure to read the trial file itself.
func Read(path string, vocabulary Vocabulary) (*trial.Trial, diag.List, error) {
	return read(path, vocabulary, nil)
}

// read is Read with other bytes in the place of some files.
func read(path string, vocabulary Vocabulary, changed map[string][]byte) (*trial.Trial, diag.List, error) {
	r := newReader(vocabulary)
	r.work = workspaces.Get().(*workspace)
	defer r.work.giveBack()
	b, err := r.work.readRegular(atPath{}, path, maxYAML)
	if c, ok := changed[filepath.Base(path)]; ok && err == nil {
		b = c
	}
	var lim limitError
	switch {
	case errors.As(err, &lim):
		r.fail(place{pos: diag.Pos{File: diag.FileNamed(path)}}, "too-large", fmt.Sprintf("the file has %d bytes; at most %d are read", lim.size, lim.limit), "move long lists to CSV files")
		return nil, r.msgs, nil
	case errors.Is(err, errNotRegular):
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	case err != nil:
		return nil, nil, err
	}
	dir := filepath.Dir(path)
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, nil, err
	}
	defer func() { _ = root.Close() }() // nothing was written
	r.folder.root, r.folder.changed = root, changed
	if dir != "." || strings.HasPrefix(path, "./") {
		r.folder.shown = dir
	}
	base := filepath.Base(path)
	r.folder.trial = base
	r.folder.sums[base] = sha256.Sum256(b)
	file := diag.FileNamed(path)
	r.read(file, b)
	r.t.Origin = trial.Origin{File: path, Base: base, Text: r.texts[file]}
	r.t.Origin.SHA256, r.t.Origin.Files = r.folder.hash()
	msgs := r.msgs.Sorted()
	if msgs.HasErrors() {
		return nil, msgs, nil
	}
	return r.t, msgs, nil
}

func newReader(v Vocabulary) *reader {
	if len(v.Findings) == 0 {
		v.Findings = checkNames
	}
	if len(v.Thresholds) == 0 {
		v.Thresholds = thresholdNames()
	}
	return &reader{t: &trial.Trial{}, vocab: v, folder: &folder{sums: map[string][sha256.Size]byte{}}, work: &workspace{}, seen: map[string]bool{},
		texts: map[diag.File]string{}, lines: map[diag.File][]string{}, tables: map[string]*table{}, shared: map[*table]*sharedTable{}, refused: map[string]bool{}, measureAt: map[string]int{}, photoAt: map[diag.Pos]diag.Pos{}}
}

// read does the work on the bytes of the trial file.
func (r *reader) read(file diag.File, b []byte) {
	s, _, ok := r.text(file, b)
	if !ok {
		return
	}
	r.texts[file] = s
	root := r.parseYAML(file, s)
	if root == nil {
		return
	}
	if root.kind != mapping {
		r.fail(root.at, "not-a-group", "a trial file is a group of keys, found "+root.describe(), "start with tamis: 1")
		return
	}
	r.root = root
	r.implied = root.get("measures") == nil
	trialTable.readInto(r, root, r.t)
	r.nameAll()
	r.readPanelFiles()
	r.validate(root)
	r.readOthers()
}

// nameAll gives cooks and pieces without an id one: the number of the cook,
// and the number of the piece after the id of its cook.
func (r *reader) nameAll() {
	if !r.nameless() {
		return
	}
	used := map[string]bool{}
	for i := range r.t.Cooks {
		used[r.t.Cooks[i].ID] = true
	}
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		for n := i + 1; c.ID == ""; n += len(r.t.Cooks) {
			if id := fmt.Sprint(n); !used[id] {
				c.ID, used[id] = id, true
			}
		}
	}
	for i := range r.t.Cooks {
		for j := range r.t.Cooks[i].Pieces {
			used[r.t.Cooks[i].Pieces[j].ID] = true
		}
	}
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		for j := range c.Pieces {
			for n := j + 1; c.Pieces[j].ID == ""; n += len(c.Pieces) {
				if id := fmt.Sprintf("%s-%d", c.ID, n); !used[id] {
					c.Pieces[j].ID, used[id] = id, true
				}
			}
		}
	}
}

// nameless reports whether a cook or a piece has no id.
func (r *reader) nameless() bool {
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		if c.ID == "" {
			return true
		}
		for j := range c.Pieces {
			if c.Pieces[j].ID == "" {
				return true
			}
		}
	}
	return false
}

// isPicture reports whether bytes begin as a picture that pages can show does.
func isPicture(b []byte) bool {
	for _, start := range []string{"\xff\xd8\xff", "\x89PNG\r\n\x1a\n", "GIF8"} {
		if bytes.HasPrefix(b, []byte(start)) {
			return true
		}
	}
	return bytes.HasPrefix(b, []byte("RIFF")) && len(b) >= 12 && string(b[8:12]) == "WEBP"
}

// readOthers reads the files that are only named: photos and the pilot.
func (r *reader) readOthers() {
	for _, p := range r.t.Photos {
		if _, read := r.folder.sums[p.File]; p.File != "" && !read {
			it := pathItem(trial.SomeAt(p.File, r.photoAt[p.Pos]))
			if name, b, ok := r.named(it, maxPhoto, true); ok && !isPicture(b) {
				r.warn(it.at, "no-picture", quote(name)+" is no JPEG, PNG, GIF or WebP picture, whatever its name says: pages leave it out", "save it as one of them")
			}
		}
	}
	if r.t.Pilot.Known {
		r.named(pathItem(r.t.Pilot), maxYAML, false)
	}
}
