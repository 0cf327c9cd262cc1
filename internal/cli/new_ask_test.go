package cli

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/internal/answer"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// dialogue runs new with somebody at the keyboard, who sees the questions on the
// second stream and sends the file elsewhere.
func dialogue(ctx context.Context, in io.Reader, args ...string) (code int, file, screen string) {
	var out, errs bytes.Buffer
	a := &app{Streams: Streams{In: in, Out: &out, Err: &errs, Env: func(string) string { return "" }}, out: bufio.NewWriter(&out),
		terminal: func(stream any) bool { return stream != any(&out) }}
	code = a.run(ctx, append([]string{"new"}, args...))
	return code, out.String(), errs.String()
}

// readBack reads what was written as check would.
func readBack(t *testing.T, text string) *trial.Trial {
	t.Helper()
	path := filepath.Join(t.TempDir(), "t.yaml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	tr, messages, err := trialfile.Read(path, vocabulary())
	if err != nil || messages.HasErrors() {
		t.Fatalf("%v %v\n%s", err, messages, text)
	}
	return tr
}

// Six times Enter is a sound trial with a design, and every line of the screen
// fits.
func TestSixTimesEnter(t *testing.T) {
	t.Parallel()
	code, file, screen := dialogue(t.Context(), strings.NewReader("\n\n\n\n\n\n"))
	if code != ExitDone {
		t.Fatalf("code %d: %s", code, screen)
	}
	d := readBack(t, file).Design.V
	if len(d.SetPoints) != 3 || d.CooksEach.V != 3 || d.PiecesPerCook.V != 2 || len(d.Assessors) != 4 || len(d.Baths) != 2 {
		t.Errorf("the design is %+v", d)
	}
	for _, l := range strings.Split(strings.ReplaceAll(screen, "] ", "]\n"), "\n") { // Enter ends the line of a prompt
		if cells(l) > 79 {
			t.Errorf("%d columns: %s", cells(l), l)
		}
	}
}

// What is typed is in the file, in the unit in which it was typed.
func TestAnswersAreWritten(t *testing.T) {
	t.Parallel()
	code, file, screen := dialogue(t.Context(), strings.NewReader("Kabeljau 鱈, lean fish, WHOLE, 1 in, 39 °F\nWhich flakes?\n"+
		"flake at least 6 and surface protein at most 2; liking highest\n145 °F, 150 °F and 155 °F for 2 h\n1 person, 4 cooks, 2 days\nnorth\n"))
	if code != ExitDone {
		t.Fatalf("code %d: %s", code, screen)
	}
	tr := readBack(t, file)
	d := tr.Design.V
	switch {
	case tr.Food.Name.V != "Kabeljau 鱈", tr.Food.Kind.V != "lean fish", tr.Food.Form.V != trial.Whole, tr.Food.Thickness.V.String() != "1 in", tr.Food.Start.V.String() != "39 °F",
		tr.Question.V != "Which flakes?", len(tr.Aims) != 3, tr.Aims[1].Measure != "surface_protein", d.SetPoints[2].String() != "155 °F", d.Times[0].String() != "2 h",
		d.CooksEach.V != 4, d.Sessions.V != 2, d.PiecesPerCook.V != 2, len(d.Assessors) != 1, len(d.Baths) != 1 || d.Baths[0] != "north":
		t.Errorf("%s", file)
	}
}

// A refused answer says why, with what to type instead, and is asked again; the
// trial is the one of the answers that were taken.
func TestAskedAgain(t *testing.T) {
	t.Parallel()
	good := []string{"veal, beef pork lamb, whole, 20 mm", "Which?", "firmness 5 to 6.5", "60 °C, 64 °C for 90 min", "2 cooks, 2 pieces, 3 people", "north, south"}
	_, want, _ := dialogue(t.Context(), strings.NewReader(strings.Join(good, "\n")+"\n"))
	for _, c := range []struct {
		at          int // 0 is the first question
		typed, says string
	}{
		{0, "cod, leen fish", "did you mean lean fish?"},
		{0, "cod, 17,5 mm", "write 17.5"},
		{0, "cod, whole, minced", `"whole" and "minced" cannot both be`},
		{0, "cod, 18", `"18" is no kind`},
		{0, "cod, -18 mm", "is no kind"},
		{0, "cod, 400 °C, 1e9 mm", ""},
		{0, ",,,", "it needs a name"},
		{0, "cod, , whole", "nothing stands between two commas"},
		{0, strings.Repeat("x", 5000), "longer than an answer can be"},
		{0, "cod\x1b[A", "a key in this that is no letter"},
		{0, "\xff\xfe", "not UTF-8"},
		{1, strings.Repeat("why ", 1000), "longer than"},
		{2, "firm", `"firm": this is not an aim`},
		{2, "firmness 50 to 60", "the target lies outside the scale of firmness"},
		{2, "firmness 5 to 6,5", "write 6.5"},
		{2, "firmness 6 to 5", "the low end is above the high end"},
		{2, "firmness 5 to NaN", `"NaN" is not a number`},
		{2, "and", `"and": this is not an aim`},
		{3, "48", "48: a temperature needs its unit write 48 °C or 48 °F"},
		{3, "48,5 °C, 50 °C", "write 48.5"},
		{3, "48 °C", "one set point compares nothing"},
		{3, "48 °C, 48.01 °C", "are the same"},
		{3, "-300 °C, 50 °C", "nothing is colder than"},
		{3, "48 °C, 52 °C for 60", "write 60 min"},
		{3, "48 °C, 52 °C for -5 min", "min"},
		{3, "48 °C,, 52 °C", "nothing stands between"},
		{4, "2, 4", `"2" is not a number of something`},
		{4, "0 cooks", "0 cooks: between 1 and 50"},
		{4, "-1 people", "between 0 and 500"},
		{4, "99999999999999999999 pieces", "between 1 and 100"},
		{4, "3 friends", "cooks, pieces or people?"},
		{4, "2 cooks, 3 cooks", "stands there twice"},
		{4, "2 cooks, 3 days", "at most one for each"},
		{5, "north, north", `"north" stands there twice`},
		{5, ", north", "nothing stands between"},
		{5, strings.Repeat("n", 500), "not a name"},
		{5, "\u202enorth", "the invisible U+202E"},
	} {
		answers := append(append(append([]string{}, good[:c.at]...), c.typed), good[c.at:]...)
		code, file, screen := dialogue(t.Context(), strings.NewReader(strings.Join(answers, "\r\n")+"\r\n"))
		if code != ExitDone || file != want || !strings.Contains(strings.Join(strings.Fields(screen), " "), c.says) {
			t.Errorf("%.40q: code %d, the same file: %v; %s", c.typed, code, file == want, screen)
		}
		if strings.ContainsAny(screen, "\x1b\u202e") || strings.Contains(screen, "tamis new --help") || strings.Contains(screen, "--set-points") {
			t.Errorf("%.40q: %q", c.typed, screen)
		}
	}
}

// Where the answers end too early, whatever was typed, no file is written.
func TestAnswersEnd(t *testing.T) {
	t.Parallel()
	for n := range 6 {
		path := filepath.Join(t.TempDir(), "t.yaml")
		code, file, screen := dialogue(t.Context(), strings.NewReader(strings.Repeat("\n", n)), "--out", path)
		if _, err := os.Stat(path); code != ExitFailure || file != "" || !os.IsNotExist(err) || !strings.Contains(screen, "the answers ended") {
			t.Errorf("after %d answers: code %d, %q, %v; %s", n, code, file, err, screen)
		}
	}
	if code, _, screen := dialogue(t.Context(), strings.NewReader("\n\n\n\n\nnorth")); code != ExitDone {
		t.Errorf("a last answer without Enter: code %d, %s", code, screen)
	}
	broken := io.MultiReader(strings.NewReader("\n"), brokenReader{})
	if code, file, screen := dialogue(t.Context(), broken); code != ExitFailure || file != "" || !strings.Contains(screen, "the line is dead") {
		t.Errorf("a keyboard that fails: code %d, %q; %s", code, file, screen)
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errors.New("the line is dead") }

// An interrupt while a question waits ends at once, with its code and no file.
func TestInterruptedQuestion(t *testing.T) {
	t.Parallel()
	keyboard, typing := io.Pipe()
	defer func() { _ = typing.Close() }()
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		_, _ = typing.Write([]byte("cod loin\n\n"))
		time.Sleep(20 * time.Millisecond)
		cancel()
	}()
	path := filepath.Join(t.TempDir(), "t.yaml")
	code, file, screen := dialogue(ctx, keyboard, "--out", path)
	if _, err := os.Stat(path); code != ExitInterrupted || file != "" || !os.IsNotExist(err) || !strings.Contains(screen, "interrupted") {
		t.Errorf("code %d, %q, %v; %s", code, file, err, screen)
	}
}

// Flags that describe the trial leave nothing to ask, nor does a keyboard that is
// none.
func TestNothingAsked(t *testing.T) {
	t.Parallel()
	if code, file, screen := dialogue(t.Context(), brokenReader{}, "--food", "cod"); code != ExitDone || screen != "" || file == "" {
		t.Errorf("flags: code %d, %q", code, screen)
	}
	if code, out, errs := run(t.Context(), "new"); code != ExitDone || errs != "" || out == "" {
		t.Errorf("no terminal: code %d, %q", code, errs)
	}
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = null.Close() }()
	if isTerminal(null) || isTerminal((*os.File)(nil)) || isTerminal(strings.NewReader("")) {
		t.Error("the null device is taken for a terminal")
	}
	if tty, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0); err == nil {
		defer func() { _ = tty.Close() }()
		if !isTerminal(tty) {
			t.Error("a terminal is not taken for one")
		}
	}
}

// Whatever is cooked, what is proposed is not called not to be eaten.
func TestProposalsMayBeEaten(t *testing.T) {
	t.Parallel()
	for _, kind := range foodKinds {
		for _, rest := range []string{"", ", whole, 25 mm, 4 °C", ", minced, 1 in", ", whole, 60 mm"} {
			code, file, screen := dialogue(t.Context(), strings.NewReader(kind+rest+"\n\n\n\n\n\n"))
			if code != ExitDone {
				// Nothing could be proposed, so Enter was no answer.
				if !strings.Contains(screen, "it needs set points") {
					t.Errorf("%s%s: code %d, %s", kind, rest, code, screen)
				}
				t.Logf("%s%s: nothing is proposed", kind, rest)
				continue
			}
			for _, v := range answer.Summarise(readBack(t, file), nil).Verdicts {
				if v.Verdict == answer.VerdictDoNotEat {
					t.Errorf("%s%s: %v", kind, rest, v.Text)
				}
			}
		}
	}
}

// A file name follows the food, and never takes the place of a file.
func TestUnusedName(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, c := range []struct{ food, want string }{
		{"Cod loin", "cod-loin.yaml"}, {"Cod loin", "cod-loin-2.yaml"}, {"../../etc/passwd", "etc-passwd.yaml"}, {"///", "trial.yaml"}, {"鱈", "鱈.yaml"},
	} {
		got, err := unusedName(c.food)
		if err != nil || got != c.want {
			t.Errorf("%q: %q, %v", c.food, got, err)
		}
		if err := os.WriteFile(got, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := unusedName(strings.Repeat("very long ", 100)); err != nil || len(got) > 80 {
		t.Errorf("%q, %v", got, err)
	}
}
