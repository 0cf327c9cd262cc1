//go:build linux

package cli

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
)

// keyboard is the program on a terminal of its own, so that echo, line editing,
// Ctrl-C and Ctrl-D are those of a real one.
type keyboard struct {
	t    *testing.T
	tty  *os.File
	cmd  *exec.Cmd
	mu   sync.Mutex
	seen bytes.Buffer
	ends chan struct{}
}

func sitDown(t *testing.T, dir string, args ...string) *keyboard {
	t.Helper()
	k := &keyboard{t: t, cmd: exec.Command("tamis", args...), ends: make(chan struct{})}
	k.cmd.Dir = dir
	var err error
	if k.tty, err = pty.StartWithSize(k.cmd, &pty.Winsize{Rows: 40, Cols: 80}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = k.cmd.Process.Kill(); _ = k.tty.Close() })
	go func() {
		defer close(k.ends)
		b := make([]byte, 4096)
		for {
			n, err := k.tty.Read(b)
			k.mu.Lock()
			k.seen.Write(b[:n])
			k.mu.Unlock()
			if err != nil { // the terminal is gone with the program
				return
			}
		}
	}()
	return k
}

func (k *keyboard) screen() string {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.seen.String()
}

// types waits for a text on the screen that was not there before, and then types.
func (k *keyboard) types(from int, wait, text string) int {
	k.t.Helper()
	for start := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		s := k.screen()
		if at := strings.Index(s[from:], wait); at >= 0 {
			if _, err := k.tty.WriteString(text); err != nil {
				k.t.Fatal(err)
			}
			return from + at + len(wait)
		}
		if time.Since(start) > 20*time.Second {
			k.t.Fatalf("no %q in %q", wait, s[from:])
		}
	}
}

func (k *keyboard) code() int {
	k.t.Helper()
	err := k.cmd.Wait()
	<-k.ends
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		k.t.Fatal(err)
	}
	return k.cmd.ProcessState.ExitCode()
}

// Six questions on a terminal, some answered wrongly first, some with Enter, set
// points in °F: the file has what was typed, and every line fits into 80 columns.
func TestNewOnATerminal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	k := sitDown(t, dir, "new", "--out", "cod.yaml")
	at := 0
	for _, x := range []struct{ wait, text string }{
		{"[food] ", "cod loin, leen fish\n"}, {"did you mean lean fish?", ""}, {"[food] ", "cod loin, lean fish, whole, 1 in\n"},
		{"2  ", ""}, {"] ", "\n"},
		{"3  ", ""}, {"] ", "fast\n"}, {"this is not an aim", ""}, {"] ", "firmness 5 to 6\n"},
		{"4  ", ""}, {"] ", "120\n"}, {"write 120 °C or 120 °F", ""}, {"] ", "140 °F, 145 °F, 150 °F for 2 h\n"},
		{"5  ", ""}, {"] ", "lots\n"}, {"is not a number of something", ""}, {"] ", "2 cooks, 3 people\n"},
		{"6  ", ""}, {"] ", "north\n"},
		{"next: tamis check cod.yaml", ""},
	} {
		at = k.types(at, x.wait, x.text)
	}
	if code := k.code(); code != ExitDone {
		t.Fatalf("code %d: %s", code, k.screen())
	}
	text, err := os.ReadFile(filepath.Join(dir, "cod.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	d := readBack(t, string(text)).Design.V
	if len(d.SetPoints) != 3 || d.SetPoints[1].String() != "145 °F" || d.CooksEach.V != 2 || len(d.Assessors) != 3 || d.Times[0].String() != "2 h" {
		t.Errorf("the file is %s", text)
	}
	for _, l := range strings.Split(strings.ReplaceAll(k.screen(), "] ", "]\r\n"), "\r\n") {
		if cells(l) > 80 {
			t.Errorf("%d columns: %s", cells(l), l)
		}
	}
}

// Ctrl-C and Ctrl-D at each of the six questions end at once, each with its code,
// and there is no file nor anything beside it.
func TestNewLeftOnATerminal(t *testing.T) {
	t.Parallel()
	for key, want := range map[string]int{"\x03": ExitInterrupted, "\x04": ExitFailure} {
		for n := range 6 {
			dir := t.TempDir()
			k := sitDown(t, dir, "new", "--out", "t.yaml")
			at := 0
			for q := range n {
				at = k.types(at, "\r\n"+string(rune('1'+q))+"  ", "")
				at = k.types(at, "] ", "\n")
			}
			at = k.types(at, "\r\n"+string(rune('1'+n))+"  ", "")
			k.types(at, "] ", key)
			if code := k.code(); code != want {
				t.Errorf("%q at question %d: code %d, want %d; %q", key, n+1, code, want, k.screen())
			}
			if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
				t.Errorf("%q at question %d leaves %v (%v)", key, n+1, left, err)
			}
		}
	}
}

// A file that is there is not written over: it is said before the first question.
func TestNewKeepsAFileOnATerminal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "t.yaml")
	if err := os.WriteFile(path, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	k := sitDown(t, dir, "new", "--out", "t.yaml")
	code := k.code()
	b, err := os.ReadFile(path)
	if code != ExitFailure && code != ExitUsage || err != nil || string(b) != "mine" || strings.Contains(k.screen(), "Six questions") {
		t.Errorf("code %d, the file %q (%v); %s", code, b, err, k.screen())
	}
}
