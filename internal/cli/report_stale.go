package cli

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/report"
)

// What a page says of itself: the program and its version, the title, and the
// trial that it was made from with its hash.
var (
	pageVersion = regexp.MustCompile(`<meta name="generator" content="tamis ([^"]*)">`)
	pageTitle   = regexp.MustCompile(`<title>([^<]*)</title>`)
	pageOrigin  = regexp.MustCompile(`From (?:<bdi>)?([^<,]*)(?:</bdi>)?[^\n]*SHA-256 <code>([0-9a-f]{64})</code>; ?tamis ([^,<]*)|From <bdi>([^<]*)</bdi>[^\n]*SHA-256 <code>([0-9a-f]{64})</code>`)
)

// written is a page that was found.
type written struct {
	path, title         string
	trial, sha, version string
}

// pageAt reads what a page says of itself; ok is false for anything that is no
// page of a trial.
func pageAt(path string) (w written, ok bool, err error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return w, false, err
	}
	isPage := bytes.HasPrefix(bytes.ToLower(b[:min(len(b), len(pageStart))]), []byte(pageStart))
	if !isPage && !bytes.HasPrefix(b, []byte(fragmentStart)) {
		return w, false, nil
	}
	all := pageOrigin.FindAllSubmatch(b, -1)
	if len(all) == 0 {
		return w, false, nil
	}
	m := all[len(all)-1] // the footer; what stands above may quote anything
	w = written{path: path, trial: html.UnescapeString(string(m[1]) + string(m[4])), sha: string(m[2]) + string(m[5]), version: string(m[3])}
	if v := pageVersion.FindSubmatch(b); v != nil {
		w.version = html.UnescapeString(string(v[1]))
	}
	if t := pageTitle.FindSubmatch(b); t != nil {
		w.title = html.UnescapeString(string(t[1]))
	}
	return w, true, nil
}

// pagesIn lists the pages of trials in a folder, by name.
func pagesIn(folder string) (out []written, err error) {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &fs.PathError{Op: "open", Path: folder, Err: errNoFolder}
	}
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if !e.Type().IsRegular() || filepath.Ext(e.Name()) != ".html" {
			continue
		}
		w, ok, err := pageAt(filepath.Join(folder, e.Name()))
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, w)
		}
	}
	return out, nil
}

// stalePages says of a page, or of each page of the trial in a folder, whether
// it is still what would be written.
func (a *app) stalePages(cmd *cobra.Command, f *reportFlags, path string) error {
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	var pages []written
	info, err := os.Stat(f.out)
	switch {
	case err != nil:
		return err
	case info.IsDir():
		all, err := pagesIn(f.out)
		if err != nil {
			return err
		}
		for _, w := range all {
			if w.trial == t.Origin.Base {
				pages = append(pages, w)
			}
		}
		if len(pages) == 0 {
			return usagef(cmd, "--out %s holds no page of %s", f.out, t.Origin.Base).hint("tamis report --all --out FOLDER TRIAL writes them")
		}
	default:
		w, ok, err := pageAt(f.out)
		if err != nil {
			return err
		}
		if !ok {
			return usagef(cmd, "--out %s is no page of a trial", f.out)
		}
		pages = append(pages, w)
	}
	stale := false
	for _, w := range pages {
		state := "current"
		switch {
		case w.trial != t.Origin.Base:
			state = "stale: it is a page of " + w.trial
		case w.sha != t.Origin.SHA256:
			state = fmt.Sprintf("stale: the trial has changed since (it was %.12s, it is %.12s)", w.sha, t.Origin.SHA256)
		case w.version != answer.Version:
			state = "stale: it was written by tamis " + w.version + ", and this is " + answer.Version
		}
		stale = stale || state != "current"
		a.printf("%s: %s\n", diag.Clean(w.path), diag.Clean(state))
	}
	if stale {
		return saidError{ExitFindings}
	}
	return nil
}

// writeIndex lists the pages of a folder in its index.html.
func (a *app) writeIndex(cmd *cobra.Command, folder string) error {
	pages, err := pagesIn(folder)
	if err != nil {
		return err
	}
	var list []report.IndexEntry
	at := map[string]int{}
	for _, w := range pages {
		name := filepath.Base(w.path)
		k, ok := at[w.trial]
		if !ok {
			k = len(list)
			at[w.trial] = k
			list = append(list, report.IndexEntry{Trial: w.trial})
		}
		reader := "page"
		for _, n := range []string{"kitchen", "science", "readers"} {
			if strings.HasSuffix(strings.TrimSuffix(name, ".html"), "-"+n) {
				reader = n
			}
		}
		if list[k].Title == "" {
			list[k].Title = strings.TrimPrefix(w.title, "Draft: ")
		}
		list[k].Pages = append(list[k].Pages, report.IndexPage{File: name, Reader: reader, Draft: strings.HasPrefix(w.title, "Draft: ")})
	}
	if len(list) == 0 {
		return usagef(cmd, "--index %s: the folder holds no page of a trial", folder).hint("tamis report --all --out " + folder + " TRIAL writes them")
	}
	order := []string{"kitchen", "science", "readers"}
	for i := range list {
		slices.SortStableFunc(list[i].Pages, func(a, b report.IndexPage) int { return slices.Index(order, a.Reader) - slices.Index(order, b.Reader) })
	}
	out := filepath.Join(folder, "index.html")
	if err := overAnyPage(cmd, "index", out); err != nil {
		return err
	}
	page, err := report.Index(list)
	if err != nil {
		return err
	}
	return writeFile(out, page)
}

// show opens a page in the browser that the environment names, else in that of
// the desktop, and does not wait for it.
func (a *app) show(path string) error {
	abs, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	name, args := "xdg-open", []string{abs}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", abs}
	}
	if b := a.Env("BROWSER"); b != "" {
		name, args = b, []string{abs}
	}
	c := exec.Command(name, args...)
	if err := c.Start(); err != nil {
		return fmt.Errorf("%s is written, but no browser could be started (%s); open it by hand", path, name)
	}
	return c.Process.Release()
}
