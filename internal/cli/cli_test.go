package cli

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"tamis/internal/answer"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

var update = flag.Bool("update", false, "write the golden files again")

// TestMain lets the test binary stand in for the program, so that scripts and
// examples run the real command line in a process of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tamis": func() {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		code := Run(ctx, os.Args[1:], Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Env: os.Getenv})
		stop()
		os.Exit(code)
	}})
}

// root is the top of the repository.
func root(t testing.TB) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// trialFiles are the demo trials and the open data, relative to the top.
var trialFiles = []string{"trials/pollack/pollack.yaml", "trials/chicken/chicken.yaml", "trials/carrot/carrot.yaml", "trials/trout/trout.yaml",
	"testdata/beef/beef.yaml", "testdata/cake/cake.yaml", "testdata/wine/wine.yaml"}

func nameOf(file string) string { return strings.TrimSuffix(filepath.Base(file), ".yaml") }

type analysed struct {
	t *trial.Trial
	r *answer.Result
}

var analyses sync.Map // file → func() (analysed, error), so that each trial is analysed once

// analyse reads and analyses one of trialFiles with default options.
func analyse(t testing.TB, file string) (*trial.Trial, *answer.Result) {
	t.Helper()
	path := filepath.Join(root(t), file)
	f, _ := analyses.LoadOrStore(file, sync.OnceValues(func() (analysed, error) {
		tr, messages, err := trialfile.Read(path, vocabulary())
		if err != nil {
			return analysed{}, err
		}
		if messages.HasErrors() {
			return analysed{}, errors.New(messages.Sorted()[0].String())
		}
		r := answer.Of(tr, answer.Options{Options: texture.Options{Type: "II"}})
		peopleOf(tr, false).rename(r)
		return analysed{tr, r}, nil
	}))
	a, err := f.(func() (analysed, error))()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return a.t, a.r
}

// run runs one command line in this process.
func run(ctx context.Context, args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = Run(ctx, args, Streams{In: strings.NewReader(""), Out: &out, Err: &errs})
	return code, out.String(), errs.String()
}

// workspace is a folder like the top of the repository: trials, testdata, and
// bin/tamis, which is this test binary.
func workspace(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	for _, d := range []string{"trials", "testdata"} {
		if err := os.CopyFS(filepath.Join(dir, d), os.DirFS(filepath.Join(root(t), d))); err != nil {
			t.Fatal(err)
		}
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "bin"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(self, filepath.Join(dir, "bin", "tamis")); err != nil {
		t.Fatal(err)
	}
	return dir
}

// shell runs a command in a workspace, where tamis is on the path. It returns
// both streams as one, and the exit code.
func shell(t testing.TB, dir, command string) (string, int) {
	t.Helper()
	cmd := exec.Command("bash", "-c", command)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "PATH="+filepath.Join(dir, "bin")+":"+os.Getenv("PATH"), "NO_COLOR=1")
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatalf("%s: %v", command, err)
	}
	return string(out), cmd.ProcessState.ExitCode()
}

func TestScripts(t *testing.T) {
	t.Parallel()
	top := root(t)
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(env *testscript.Env) error {
			env.Setenv("NO_COLOR", "")
			return errors.Join(os.Symlink(filepath.Join(top, "trials"), filepath.Join(env.WorkDir, "trials")),
				os.Symlink(filepath.Join(top, "testdata"), filepath.Join(env.WorkDir, "testdata")))
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			// code N tamis …: the command ends with exit code N.
			"code": func(ts *testscript.TestScript, neg bool, args []string) {
				want, err := strconv.Atoi(args[0])
				ts.Check(err)
				got := 0
				var exit *exec.ExitError
				if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
					got = exit.ExitCode()
				} else {
					ts.Check(err)
				}
				if neg || got != want {
					ts.Fatalf("exit code %d, want %d", got, want)
				}
			},
			// save FILE: what the last command printed becomes a file.
			"save": func(ts *testscript.TestScript, neg bool, args []string) {
				ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(ts.ReadFile("stdout")), 0o600))
			},
		},
	})
}
