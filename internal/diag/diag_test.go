package diag

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"unicode/utf8"
)

func printed(t *testing.T, l List, o Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := Print(&b, l, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func at(file string, line, column int) Pos { return At(FileNamed(file), line, column) }

func TestPrintShape(t *testing.T) {
	t.Parallel()
	l := List{
		{Slug: "unknown-key", Pos: at("trout.yaml", 22, 5), Width: 5, Text: `unknown key "brien"`, Source: "    brien: none", Hint: "did you mean brine?"},
		{Slug: "no-unit", Pos: at("trout.yaml", 14, 16), Width: 2, Text: "a temperature needs its unit", Source: "    set_point: 52", Hint: "write 52 °C or 52 °F"},
	}
	want := `trout.yaml:14:16: error: a temperature needs its unit
   14 |     set_point: 52
      |                ^^ write 52 °C or 52 °F
trout.yaml:22:5: error: unknown key "brien"
   22 |     brien: none
      |     ^^^^^ did you mean brine?
2 errors; nothing was read
`
	if got := printed(t, l, Options{}); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if l[0].Slug != "unknown-key" {
		t.Error("Print altered the list")
	}
	if got := printed(t, nil, Options{}); got != "" {
		t.Errorf("an empty list printed %q", got)
	}
}

func TestPrintPieces(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		l    List
		o    Options
		want string
	}{
		{"tabs, wide and combining characters", List{{Pos: at("a", 3, 7), Width: 2, Text: "t", Source: "\t魚e\u0301: 52", Hint: "h"}}, Options{},
			"a:3:7: error: t\n    3 |     魚e\u0301: 52\n      |          ^^ h\n1 error; nothing was read\n"},
		{"wide underline", List{{Pos: at("a", 3, 1), Width: 2, Text: "t", Source: "鱈鱈x", Hint: "h"}}, Options{},
			"a:3:1: error: t\n    3 | 鱈鱈x\n      | ^^^^ h\n1 error; nothing was read\n"},
		{"beyond the end of the line", List{{Pos: at("a", 3, 4), Text: "t", Source: "ab"}}, Options{},
			"a:3:4: error: t\n    3 | ab\n      |    ^\n1 error; nothing was read\n"},
		{"a whole file", List{{Pos: at("a", 0, 0), Text: "t", Hint: "h"}}, Options{},
			"a: error: t\n    h\n1 error; nothing was read\n"},
		{"a whole line", List{{Pos: at("a", 2, 0), Text: "t", Source: "x", Hint: "h"}}, Options{},
			"a:2: error: t\n    2 | x\n      | h\n1 error; nothing was read\n"},
		{"expected stands in for a hint", List{{Pos: at("a", 1, 1), Text: "t", Source: "x", Expected: "e"}}, Options{},
			"a:1:1: error: t\n    1 | x\n      | ^ e\n1 error; nothing was read\n"},
		{"notes", List{{Pos: at("a", 9, 1), Width: 2, Text: "id A1 twice", Source: "A1", Notes: []Extra{{Pos: at("b", 2, 1), Width: 2, Text: "first here", Source: "A1"}}}}, Options{},
			"a:9:1: error: id A1 twice\n    9 | A1\n      | ^^\nb:2:1: note: first here\n    2 | A1\n      | ^^\n1 error; nothing was read\n"},
		{"limit", List{{Pos: at("a", 1, 0), Text: "p"}, {Pos: at("a", 2, 0), Text: "q"}, {Pos: at("a", 3, 0), Text: "r", Severity: Warning}}, Options{Max: 1, Ending: "a.yaml was left out"},
			"a:1: error: p\n… and 2 more (--max-errors 0 shows all)\n2 errors, 1 warning; a.yaml was left out\n"},
		{"no errors, no ending", List{{Pos: at("a", 1, 0), Text: "p", Severity: Note}, {Pos: at("a", 1, 0), Text: "p", Severity: Note}}, Options{},
			"a:1: note: p\n1 note\n"},
		{"hostile", List{{Pos: at("a\x1b[2J", 1, 2), Text: "bad \u202etxet\x07 \xff", Source: "\x1b]0;x\u2028y", Hint: "h\r\n\x00"}}, Options{},
			"a\uFFFD[2J:1:2: error: bad \uFFFDtxet\uFFFD \uFFFD\n    1 | \uFFFD]0;x\uFFFDy\n      |  ^ h  \uFFFD\n1 error; nothing was read\n"},
		{"colour", List{{Pos: at("a", 1, 1), Text: "t", Source: "x", Severity: Warning}}, Options{Colour: true},
			"\x1b[1ma:1:1:\x1b[0m \x1b[1;33mwarning:\x1b[0m t\n    1 | x\n      | \x1b[1;33m^\x1b[0m\n1 warning\n"},
	}
	for _, tt := range tests {
		if got := printed(t, tt.l, tt.o); got != tt.want {
			t.Errorf("%s: got\n%q, want\n%q", tt.name, got, tt.want)
		}
	}
}

// Whatever the line, the source line and the caret line fit the terminal and
// the caret stands under the character that was named.
func TestLongLines(t *testing.T) {
	t.Parallel()
	line := strings.Repeat("ab 鱈 ", 60) + "MARK" + strings.Repeat(" xyz", 60)
	runes := []rune(line)
	mark := len([]rune(line[:strings.Index(line, "MARK")]))
	for _, column := range []int{1, 20, mark + 1, len(runes) - 3, len(runes)} {
		out := strings.Split(printed(t, List{{Pos: at("a", 1, column), Width: 4, Text: "t", Source: line, Hint: "write something else"}}, Options{}), "\n")
		for _, l := range out[1:3] {
			if w := Width(l); w > columns {
				t.Errorf("column %d: %d columns: %s", column, w, l)
			}
		}
		before := Width(out[2][:strings.IndexByte(out[2], '^')])
		under, w := "", 0
		for i, r := range out[1] {
			if w == before {
				under = out[1][i:]
				break
			}
			w += runeWidth(r)
		}
		if want := string(runes[column-1 : min(len(runes), column+3)]); !strings.HasPrefix(under, want) {
			t.Errorf("column %d: the caret is under %q, want %q", column, under, want)
		}
	}
}

// Whatever is said, no line is wider than the terminal as long as the name of
// the file leaves room.
func TestNoLineIsWider(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("word ", 40)
	solid := strings.Repeat("x", 1000)
	wide := strings.Repeat("鱈", 300)
	for _, text := range []string{"t", long, solid, wide} {
		for _, hint := range []string{"", "h", long, solid, wide} {
			for _, source := range []string{"", long, solid, wide, "    id: " + solid, "\t\t" + wide} {
				for _, line := range []int{0, 123_456_789} {
					for _, column := range []int{0, 1, 71, 900} {
						for _, width := range []int{3, 10_000} {
							m := Message{Pos: at("dir/f.yaml", line, column), Width: width, Text: text, Source: source, Hint: hint}
							m.Notes = []Extra{{Pos: m.Pos, Width: width, Text: text, Source: source}}
							for _, l := range strings.Split(printed(t, List{m}, Options{}), "\n") {
								if w := Width(l); w > columns {
									t.Fatalf("%d columns at %d:%d, width %d: %.100s", w, line, column, width, l)
								}
							}
						}
					}
				}
			}
		}
	}
}

// What does not fit beside the place goes on below it, and nothing is lost.
func TestLongHeads(t *testing.T) {
	t.Parallel()
	text := "byte 0xB0 is not UTF-8 text; the file looks like Latin-1 (or Windows-1252)"
	want := "scores.csv:2:8: error: byte 0xB0 is not UTF-8 text; the file looks like Latin-1\n    (or Windows-1252)\n1 error; nothing was read\n"
	if got := printed(t, List{{Pos: at("scores.csv", 2, 8), Text: text}}, Options{}); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	name := strings.Repeat("n", 90)
	if got, want := printed(t, List{{Pos: at(name, 0, 0), Text: "gone"}}, Options{}), name+": error:\n    gone\n1 error; nothing was read\n"; got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

func TestSortedOnce(t *testing.T) {
	t.Parallel()
	l := List{{Pos: at("b", 1, 1), Text: "x"}, {Pos: at("a", 10, 1), Text: "x"}, {Pos: at("a", 9, 2), Text: "x"}, {Pos: at("a", 9, 1), Text: "y"}, {Pos: at("a", 9, 2), Text: "x"}}
	var got []string
	for _, m := range l.Sorted() {
		got = append(got, m.Pos.String())
	}
	if want := "a:9:1 a:9:2 a:10:1 b:1:1"; strings.Join(got, " ") != want {
		t.Errorf("sorted %v, want %s", got, want)
	}
	if shown, more := l.Limited(2); len(shown) != 2 || more != 3 {
		t.Errorf("limited to %d, %d more", len(shown), more)
	}
}

func TestJSON(t *testing.T) {
	t.Parallel()
	l := List{{Severity: Warning, Slug: "s", Pos: at("a", 1, 2), Text: "t", Hint: "h"}}
	b, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	if want := `[{"severity":"warning","slug":"s","pos":{"file":"a","line":1,"column":2},"text":"t","hint":"h"}]`; string(b) != want {
		t.Errorf("got %s, want %s", b, want)
	}
	var back List
	if err := json.Unmarshal(b, &back); err != nil || back[0].Severity != Warning {
		t.Errorf("read back %v, %v", back, err)
	}
	if err := json.Unmarshal([]byte(`[{"severity":"fatal"}]`), &back); err == nil {
		t.Error("an unknown severity was accepted")
	}
}

func TestLonger(t *testing.T) {
	t.Parallel()
	keys := []string{"cooks_each", "pieces_per_cook", "set_points", "lean fish", "oily fish", "at"}
	for word, want := range map[string]string{
		"cooks": "cooks_each", "Pieces": "pieces_per_cook", "points": "set_points", "pieces-cook": "pieces_per_cook",
		"fish": "", "cooks_per_set_point": "", "at": "", "": "", "_": "", "set_points_each": "",
	} {
		if got, ok := Longer(word, keys); got != want || ok != (want != "") {
			t.Errorf("Longer(%q) = %q, %v; want %q", word, got, ok, want)
		}
	}
}

func TestNearest(t *testing.T) {
	t.Parallel()
	keys := []string{"brine", "bath", "set_point", "session", "time", "id", "out", "started", "served_at"}
	tests := map[string]string{
		"brien": "brine", "Brine": "brine", "set point": "set_point", "setpoint": "set_point", "sesion": "session",
		"tiem": "time", "served-at": "served_at", "strated": "started", "ID": "id",
		"zebra": "", "": "", "x": "", "ox": "", "temperature": "", strings.Repeat("b", 1000): "",
	}
	for word, want := range tests {
		if got, ok := Nearest(word, keys); got != want || ok != (want != "") {
			t.Errorf("Nearest(%q) = %q, %v; want %q", word, got, ok, want)
		}
	}
}

func TestDistance(t *testing.T) {
	t.Parallel()
	tests := []struct {
		a, b string
		want int
	}{{"", "", 0}, {"", "abc", 3}, {"ab", "ba", 1}, {"kitten", "sitting", 3}, {"ca", "abc", 3}} // optimal string alignment, by hand
	for _, tt := range tests {
		if d := distance([]rune(tt.a), []rune(tt.b)); d != tt.want {
			t.Errorf("distance(%q, %q) = %d, want %d", tt.a, tt.b, d, tt.want)
		}
		if d := distance([]rune(tt.b), []rune(tt.a)); d != tt.want {
			t.Errorf("distance(%q, %q) = %d, want %d", tt.b, tt.a, d, tt.want)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestPrintReportsWriteErrors(t *testing.T) {
	t.Parallel()
	if err := Print(full{}, List{{Text: "t"}}, Options{}); err == nil {
		t.Error("a failed write was not reported")
	}
}

func FuzzPrint(f *testing.F) {
	f.Add("    set_point: 52", 16, 2, "write 52 °C")
	f.Add("\t鱈\x1b[1m\u202e", 3, 900, strings.Repeat("long ", 40))
	f.Add("", -4, -1, "\x00")
	f.Fuzz(func(t *testing.T, line string, column, width int, hint string) {
		out := printed(t, List{{Pos: at("f", 1, column), Width: width, Text: hint, Source: line, Hint: hint}}, Options{})
		if !utf8.ValidString(out) {
			t.Fatalf("not UTF-8: %q", out)
		}
		for _, r := range out {
			if r != '\n' && !plain(r) {
				t.Fatalf("%U reached the terminal", r)
			}
		}
	})
}
