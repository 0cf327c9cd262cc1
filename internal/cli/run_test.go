package cli

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// A cancelled context ends a run at once, with its own code and no output.
func TestCancelledRun(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	code, out, errs := run(ctx, "fit", filepath.Join(root(t), trialFiles[0]))
	if code != ExitInterrupted || out != "" {
		t.Errorf("code %d, output %q", code, out)
	}
	if !strings.Contains(errs, "interrupted") {
		t.Errorf("messages: %q", errs)
	}
}

// An interrupt from the keyboard ends a long fit within moments, with code 130,
// and neither the tables nor anything else is left half written.
func TestInterrupt(t *testing.T) {
	t.Parallel()
	dir := workspace(t)
	for wait := 500 * time.Millisecond; ; wait *= 2 {
		cmd := exec.Command(filepath.Join(dir, "bin", "tamis"), "fit", "--draws", "1000000", "--csv", "tables", trialFiles[0])
		cmd.Dir = dir
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(wait)
		sent := time.Now()
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		err := cmd.Wait()
		if s, ok := cmd.ProcessState.Sys().(syscall.WaitStatus); ok && s.Signaled() && wait < 10*time.Second {
			continue // the signal came before the program listened
		}
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.ExitCode() != ExitInterrupted {
			t.Errorf("ended with %v, want code %d; %s", err, ExitInterrupted, errs.String())
		}
		if took := time.Since(sent); took > 5*time.Second {
			t.Errorf("it took %v to stop", took)
		}
		if out.Len() > 0 || !strings.Contains(errs.String(), "interrupted") {
			t.Errorf("output %q, messages %q", out.String(), errs.String())
		}
		left, err := filepath.Glob(filepath.Join(dir, "*tables*"))
		if hidden, _ := filepath.Glob(filepath.Join(dir, ".*tables*")); err != nil || len(left)+len(hidden) > 0 {
			t.Errorf("left behind: %v %v", left, hidden)
		}
		return
	}
}

// lockedBuffer may be read while the progress line is written.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func TestProgress(t *testing.T) {
	t.Parallel()
	var quick lockedBuffer
	showProgress(&quick, "analysing", time.Hour, time.Hour)()
	if quick.String() != "" {
		t.Errorf("short work shows %q", quick.String())
	}
	var slow lockedBuffer
	finish := showProgress(&slow, "analysing", time.Millisecond, time.Millisecond)
	for deadline := time.Now().Add(10 * time.Second); strings.Count(slow.String(), "\r") < 3; {
		if time.Now().After(deadline) {
			t.Fatal("no progress is shown")
		}
		time.Sleep(time.Millisecond)
	}
	finish()
	s := slow.String()
	if !strings.HasPrefix(s, "\ranalysing … 0 s") {
		t.Errorf("progress begins with %q", s[:min(len(s), 40)])
	}
	// What stands on the line at the end is blank, and the cursor at its start.
	last := s[strings.LastIndex(strings.TrimSuffix(s, "\r"), "\r")+1:]
	if strings.TrimSpace(last) != "" || cells(strings.TrimSuffix(last, "\r")) < cells("analysing … 0 s") || !strings.HasSuffix(last, "\r") {
		t.Errorf("the line is not cleared: %q", last)
	}
}

// Neither a pipe nor a buffer is a terminal: no colour, no progress.
func TestNotATerminal(t *testing.T) {
	t.Parallel()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = errors.Join(r.Close(), w.Close()) }()
	for _, env := range []map[string]string{{}, {"NO_COLOR": "1"}, {"TERM": "dumb"}} {
		a := &app{Streams: Streams{Err: w, Env: func(k string) string { return env[k] }}}
		if a.colour(w) || a.progressWanted() {
			t.Errorf("a pipe is taken for a terminal with %v", env)
		}
	}
	if isTerminal(&bytes.Buffer{}) {
		t.Error("a buffer is taken for a terminal")
	}
}

// A terminal's character device, as far as a test has one: /dev/null is one too,
// so NO_COLOR must hold there.
func TestNoColour(t *testing.T) {
	t.Parallel()
	f, err := os.OpenFile("/dev/null", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer func() { _ = f.Close() }()
	a := &app{Streams: Streams{Err: f, Env: func(k string) string { return map[string]string{"NO_COLOR": "1"}[k] }}}
	if a.colour(f) {
		t.Error("NO_COLOR is not respected")
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// Output that cannot be written is a failure, not silence.
func TestBrokenOutput(t *testing.T) {
	t.Parallel()
	var errs bytes.Buffer
	code := Run(t.Context(), []string{"check", filepath.Join(root(t), "trials/trout/trout.yaml")}, Streams{In: strings.NewReader(""), Out: brokenWriter{}, Err: &errs})
	if code != ExitFailure || !strings.Contains(errs.String(), "no space left") {
		t.Errorf("code %d, %q", code, errs.String())
	}
}

// A fault of the program is an error message with a code, never a trace.
func TestGuarded(t *testing.T) {
	t.Parallel()
	err := guarded(func() error { panic("boom") })
	if err == nil || !strings.Contains(err.Error(), "internal fault") {
		t.Errorf("%v", err)
	}
}

// At a terminal a message is broken between words, and a command stays whole to
// be copied; a program gets a line a message.
func TestMessagesAtATerminal(t *testing.T) {
	t.Parallel()
	run := func(terminal bool, args ...string) []string {
		var out, errs bytes.Buffer
		a := &app{Streams: Streams{In: strings.NewReader(""), Out: &out, Err: &errs, Env: func(string) string { return "" }}, out: bufio.NewWriter(&out),
			terminal: func(any) bool { return terminal }}
		if code := a.run(t.Context(), args); code != ExitUsage {
			t.Errorf("%v: code %d", args, code)
		}
		return strings.Split(strings.TrimRight(errs.String(), "\n"), "\n")
	}
	unknown := []string{"heat", "--food", "sprockets", "--set-point", "60C"}
	if got := run(false, unknown...); len(got) != 2 || cells(got[1]) <= columns {
		t.Errorf("to a program: %q", got)
	}
	got := run(true, unknown...)
	for _, line := range got {
		if cells(line) > columns {
			t.Errorf("at a terminal: %q has %d columns", line, cells(line))
		}
	}
	if len(got) != 3 || !strings.HasPrefix(got[2], "    ") {
		t.Errorf("at a terminal: %q", got)
	}
	if got := run(true, "heat"); len(got) != 2 || !strings.Contains(got[1], "--set-point 52C") {
		t.Errorf("a command to copy: %q", got)
	}
}
