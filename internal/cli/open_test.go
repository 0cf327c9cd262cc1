package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// --open starts the browser that the environment names with the page that was
// written, and nothing where none was.
func TestOpen(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("the stand-in for a browser is a shell script")
	}
	dir := t.TempDir()
	told := filepath.Join(dir, "told")
	opener := filepath.Join(dir, "opener")
	// It writes down what it was given, in one step.
	if err := os.WriteFile(opener, []byte("#!/bin/sh\nprintf '%s\\n' \"$#\" \"$1\" > '"+told+".part' && mv '"+told+".part' '"+told+"'\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	trout := filepath.Join(root(t), "trials/trout/trout.yaml")
	report := func(browser string, args ...string) (int, string) {
		var out, errs bytes.Buffer
		code := Run(context.Background(), append([]string{"report"}, args...), Streams{In: strings.NewReader(""), Out: &out, Err: &errs, Env: func(name string) string {
			return map[string]string{"BROWSER": browser}[name]
		}})
		return code, out.String() + errs.String()
	}
	page := filepath.Join(dir, "a page.html")
	if code, said := report(opener, "--for", "kitchen", "--static", "--open", "--out", page, trout); code != 0 || said != "" {
		t.Fatalf("exit code %d: %s", code, said)
	}
	var got []byte
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end) && len(got) == 0; time.Sleep(10 * time.Millisecond) {
		got, _ = os.ReadFile(told)
	}
	if want := "1\n" + page + "\n"; string(got) != want {
		t.Errorf("the browser was given %q, want %q", got, want)
	}
	if b, err := os.ReadFile(page); err != nil || !bytes.HasPrefix(b, []byte("<!doctype html>")) {
		t.Errorf("the page: %v, %.40q", err, b)
	}
	// No page, no browser.
	if err := os.Remove(told); err != nil {
		t.Fatal(err)
	}
	if code, said := report(opener, "--for", "readers", "--static", "--open", "--out", filepath.Join(dir, "r.html"), trout); code != 4 {
		t.Errorf("exit code %d: %s", code, said)
	}
	time.Sleep(200 * time.Millisecond)
	if b, err := os.ReadFile(told); err == nil {
		t.Errorf("a page that was not written was opened: %s", b)
	}
	// No browser: the page is kept, and its place is said.
	code, said := report(filepath.Join(dir, "no such browser"), "--for", "kitchen", "--static", "--open", "--out", page, trout)
	if code != 1 || !strings.Contains(said, "open it by hand") || !strings.Contains(said, page) {
		t.Errorf("exit code %d: %s", code, said)
	}
}
