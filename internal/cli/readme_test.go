package cli

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tamis/internal/trial"
)

// fence is one code block of a Markdown file.
type fence struct {
	lang  string
	line  int
	lines []string
}

func readme(t *testing.T) []fence {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root(t), "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var out []fence
	var open *fence
	for i, l := range strings.Split(string(b), "\n") {
		switch {
		case open == nil && strings.HasPrefix(l, "```"):
			open = &fence{lang: strings.TrimPrefix(l, "```"), line: i + 1}
		case open != nil && l == "```":
			out = append(out, *open)
			open = nil
		case open != nil:
			open.lines = append(open.lines, l)
		}
	}
	return out
}

// Every console block of README.md runs, in order and in one folder, and prints
// what is shown. A line with an ellipsis stands for any number of lines.
func TestReadmeCommands(t *testing.T) {
	t.Parallel()
	dir := workspace(t)
	ran := 0
	for _, f := range readme(t) {
		if f.lang != "console" {
			continue
		}
		for i := 0; i < len(f.lines); {
			command, ok := strings.CutPrefix(f.lines[i], "$ ")
			if !ok {
				t.Fatalf("README.md:%d: output without a command: %s", f.line+1+i, f.lines[i])
			}
			at := f.line + 1 + i
			var shown []string
			for i++; i < len(f.lines) && !strings.HasPrefix(f.lines[i], "$ "); i++ {
				shown = append(shown, f.lines[i])
			}
			want := ExitDone
			if _, err := fmt.Sscanf(command[strings.LastIndex(command, "#")+1:], " exit code %d", &want); err != nil {
				want = ExitDone
			}
			out, code := shell(t, dir, command)
			if code != want {
				t.Errorf("README.md:%d: %s: exit code %d, want %d\n%s", at, command, code, want, out)
			}
			if where := mismatch(shown, strings.Split(strings.TrimSuffix(out, "\n"), "\n")); where != "" {
				t.Errorf("README.md:%d: %s prints something else: %s\n%s", at, command, where, out)
			}
			ran++
		}
	}
	if ran < 10 {
		t.Errorf("only %d commands were found", ran)
	}
}

// mismatch compares what is shown with what was printed and says where they
// part.
func mismatch(shown, printed []string) string {
	if len(shown) == 0 {
		shown = []string{""}
	}
	p := 0
	gap := false
	for _, s := range shown {
		if s == "…" {
			gap = true
			continue
		}
		found := false
		for ; p < len(printed) && !found; p++ {
			found = printed[p] == s
			if !found && !gap {
				return fmt.Sprintf("%q, not %q", printed[p], s)
			}
		}
		if !found {
			return fmt.Sprintf("nowhere %q", s)
		}
		gap = false
	}
	if !gap && p < len(printed) {
		return fmt.Sprintf("further %q", printed[p])
	}
	return ""
}

func TestMismatch(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		shown, printed string
		same           bool
	}{
		{"a|b", "a|b", true}, {"a|…|c", "a|b|b|c", true}, {"…|c", "a|c", true}, {"a|…", "a|b", true}, {"…", "a", true}, {"", "", true},
		{"a", "a|b", false}, {"a|b", "a", false}, {"a|c", "a|b", false}, {"…|c", "a|b", false}, {"a|…|c", "a|b|c|d", false}, {"", "a", false},
	} {
		got := mismatch(strings.Split(c.shown, "|"), strings.Split(c.printed, "|"))
		if (got == "") != c.same {
			t.Errorf("%q against %q: %q", c.shown, c.printed, got)
		}
	}
}

// The make targets that README.md names exist.
func TestReadmeMakeTargets(t *testing.T) {
	t.Parallel()
	n := 0
	for _, f := range readme(t) {
		if f.lang != "sh" {
			continue
		}
		for _, l := range f.lines {
			fields := strings.Fields(l)
			if len(fields) < 2 || fields[0] != "make" {
				t.Errorf("README.md:%d: %q is no make command", f.line, l)
				continue
			}
			cmd := exec.Command("make", "-n", fields[1])
			cmd.Dir = root(t)
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", l, err, out)
			}
			n++
		}
	}
	if n < 2 {
		t.Error("README.md does not start with its two commands")
	}
}

// The least trial file of README.md is one.
func TestReadmeTrialFile(t *testing.T) {
	t.Parallel()
	n := 0
	for _, f := range readme(t) {
		if f.lang != "yaml" {
			continue
		}
		path := filepath.Join(t.TempDir(), "least.yaml")
		if err := os.WriteFile(path, []byte(strings.Join(f.lines, "\n")+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, verb := range []string{"check", "fit"} {
			if code, _, errs := run(t.Context(), verb, path); code != ExitDone || errs != "" {
				t.Errorf("%s: code %d, %s", verb, code, errs)
			}
		}
		n++
	}
	if n == 0 {
		t.Error("README.md shows no trial file")
	}
}

// The numbers that R printed in README.md are those of the result, to the digits
// that R shows. Where R is installed, its lines are run again as well.
func TestReadmeR(t *testing.T) {
	t.Parallel()
	var lines, output string
	for _, f := range readme(t) {
		switch f.lang {
		case "r":
			lines = strings.Join(f.lines, "\n") + "\n"
		case "text":
			output = strings.Join(f.lines, "\n") + "\n"
		}
	}
	tr, r := analyse(t, "trials/pollack/pollack.yaml")
	m := r.Measures.Named("firmness")
	for _, test := range m.Tests {
		if test.Term == trial.SetPointFactor && test.Role == "headline" {
			if want := fmt.Sprintf("%.3f", test.F.Or(0)); !strings.Contains(output, " "+want+" ") {
				t.Errorf("R's table in README.md lacks F = %s", want)
			}
		}
	}
	for _, a := range m.Arms {
		row := regexp.MustCompile(fmt.Sprintf(`factor\(set_point\)%s +%.6f +%.7f\n`, rounded(a.SetPoint.Or(0)), a.Mean.Or(0), a.SE.Or(0)))
		if !row.MatchString(output) {
			t.Errorf("R's table in README.md lacks %s", row)
		}
	}
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		return // the comparison above has been made
	}
	dir := t.TempDir()
	f := &tableFolder{path: filepath.Join(dir, "tables"), swap: true}
	if err := f.write(tablesOf(tr, r, peopleOf(tr, false))); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(rscript, "-e", lines)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	printed, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, printed)
	}
	if string(printed) != output {
		t.Errorf("R prints now\n%s", printed)
	}
}
