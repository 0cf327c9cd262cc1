package trialfile

import (
	"fmt"
	"regexp"
	"strings"

	"tamis/internal/diag"
)

var lineInError = regexp.MustCompile(`line (\d+): `)

// syntax turns the error of the YAML library, which has no column and often
// the wrong line, into a message at the place of the fault. The text is scanned
// again for the slips that hands make; the library's line is the last resort.
func (r *reader) syntax(file diag.File, text string, err error) {
	msg := strings.TrimPrefix(err.Error(), "yaml: ")
	said := 0
	if m := lineInError.FindStringSubmatch(msg); m != nil {
		said = atoi(m[1])
		msg = strings.Replace(msg, m[0], "", 1)
	}
	s := scan(text)
	say := func(at diag.Pos, slug, text, hint string) {
		at.File = file
		r.fail(place{pos: at}, slug, text, hint)
	}
	lines := splitLines(text)
	switch {
	case s.tab.Line > 0 && strings.Contains(msg, "cannot start any token"), s.tab.Line > 0 && strings.Contains(msg, "tab"):
		at := s.tab
		at.File = file
		r.fail(place{at, 1}, "tab", "a tab indents this line", "indent with spaces; YAML does not allow tabs there")
	case strings.Contains(msg, "exceeded max depth"):
		say(inText(max(said, 1), 1), "too-deep", fmt.Sprintf("nested more than %d levels deep", maxNesting), "close the brackets before this place, or move a table to a CSV file")
	case strings.Contains(msg, "directive"), strings.Contains(msg, "incompatible YAML document"):
		at := findToken(lines, "%", 1)
		say(at, "bad-start", "a line that starts with % is an instruction to YAML", "remove the line, or put quotes around the text")
	case loneMark(lines).Line > 0 && (strings.Contains(msg, "did not find expected") || strings.Contains(msg, "mapping keys are not allowed")):
		say(loneMark(lines), "bad-start", "a question mark alone means something else in YAML", "leave the value blank where it is not known")
	case s.quote.Line > 0 && (strings.Contains(msg, "end of stream") || strings.Contains(msg, "quoted scalar") || strings.Contains(msg, "document indicator")):
		at := s.quote
		at.File = file
		r.fail(place{at, 1}, "open-quote", "a quote that opens here is never closed", "close it, or put the text after | on lines of its own")
	case strings.Contains(msg, "unknown anchor"):
		name := strings.Trim(strings.TrimSuffix(strings.TrimPrefix(msg, "unknown anchor '"), " referenced"), "'")
		say(findToken(lines, "*"+name, 1), "unknown-alias", fmt.Sprintf("*%s refers to nothing", name), fmt.Sprintf(`put quotes around text that starts with a star: "*%s"`, name))
	case s.after.Line > 0 && strings.Contains(msg, "did not find expected"):
		at := s.after
		at.File = file
		r.fail(place{at, 1}, "quote-inside", "the text goes on after its closing quote", "put double quotes around text that holds a single one, or double it")
	case s.stray.Line > 0 && (strings.Contains(msg, "did not find expected")):
		say(s.stray, "bracket", "a closing bracket without its opening one", "remove it, or add the opening bracket")
	case s.open.Line > 0 && (strings.Contains(msg, "did not find expected") || strings.Contains(msg, "could not find expected") || strings.Contains(msg, "end of stream") || strings.Contains(msg, "mapping values")):
		at := s.open
		at.File = file
		r.fail(place{at, 1}, "bracket", "a bracket that opens here is never closed", "close it with "+string(s.closer))
	case strings.Contains(msg, "mapping values are not allowed"):
		r.colon(file, lines, said)
	case strings.Contains(msg, "cannot start any token"), strings.Contains(msg, "alphabetic or numeric character"):
		at, c := badStart(lines, said)
		say(at, "bad-start", fmt.Sprintf("a value cannot start with %s", quote(c)), fmt.Sprintf(`put quotes around it, like "%s"`, c))
	case strings.Contains(msg, "could not find expected ':'"):
		n := missingColon(lines, said)
		say(inText(n, indent(lines, n)+1), "no-colon", "a line without a colon", "write key: value")
	case strings.Contains(msg, "escape"):
		say(findToken(lines, `\`, max(said, 1)), "bad-escape", `a backslash in double quotes means something else`, "use single quotes, or double the backslash")
	default:
		n := s.shallow(lines, said)
		say(inText(n, indent(lines, n)+1), "bad-indent", "the line does not fit in with the lines before it", "indent it as far as the keys or dashes it belongs to; put quotes around text that holds a quote")
	}
}

// scanned is what a rough second look at the text finds: brackets and quotes
// that do not match, and tabs that indent.
type scanned struct {
	tab, quote, open, stray, after diag.Pos
	closer                         rune
}

type bracket struct {
	at     diag.Pos
	close  rune
	indent int
}

// scan walks through the text once. It knows comments, quotes, block texts and
// brackets, nothing else of YAML.
func scan(text string) scanned {
	var s scanned
	var stack []bracket
	var quoteEnd rune
	block := -1 // indentation of the key of a block text
	for n, line := range splitLines(text) {
		rs := []rune(line)
		in := 0
		for in < len(rs) && rs[in] == ' ' {
			in++
		}
		if quoteEnd == 0 && block >= 0 {
			if strings.TrimSpace(line) == "" || in > block {
				continue
			}
			block = -1
		}
		if quoteEnd == 0 && in < len(rs) && rs[in] == '\t' && strings.TrimSpace(line) != "" && s.tab.Line == 0 {
			s.tab = inText(n+1, in+1)
		}
		if quoteEnd == 0 && len(stack) > 0 && in <= stack[len(stack)-1].indent && keyLike.MatchString(line) && s.open.Line == 0 {
			top := stack[len(stack)-1] // a new key at the margin: the bracket was forgotten
			s.open, s.closer = top.at, top.close
			stack = nil
		}
		start := true // a quote opens a text only where a value starts
		for i := 0; i < len(rs); i++ {
			c := rs[i]
			at := inText(n+1, i+1)
			switch {
			case quoteEnd != 0:
				if c == '\\' && quoteEnd == '"' {
					i++
				} else if c == quoteEnd {
					if quoteEnd == '\'' && i+1 < len(rs) && rs[i+1] == '\'' {
						i++
					} else {
						quoteEnd = 0
						s.quote = diag.Pos{}
						start = false
						rest := strings.TrimLeft(string(rs[i+1:]), " \t")
						if rest != "" && !strings.ContainsAny(rest[:1], ",]}:#") && s.after.Line == 0 {
							s.after = at
						}
					}
				}
				continue
			case c == '#' && (i == 0 || rs[i-1] == ' ' || rs[i-1] == '\t'):
				i = len(rs)
				continue
			case (c == '"' || c == '\'') && start:
				quoteEnd, s.quote = c, at
				continue
			case (c == '[' || c == '{') && (start || len(stack) > 0):
				stack = append(stack, bracket{at, map[rune]rune{'[': ']', '{': '}'}[c], in})
				start = true
				continue
			case c == ']' || c == '}':
				switch {
				case len(stack) > 0 && stack[len(stack)-1].close == c:
					stack = stack[:len(stack)-1]
				case len(stack) > 0:
					if s.open.Line == 0 {
						s.open, s.closer = stack[len(stack)-1].at, stack[len(stack)-1].close
					}
					stack = stack[:len(stack)-1]
				case start && s.stray.Line == 0, afterBracket(rs[:i]) && s.stray.Line == 0:
					s.stray = at
				}
			}
			switch {
			case c == ' ' || c == '\t':
			case c == ':' && (i+1 == len(rs) || rs[i+1] == ' '), c == ',' && len(stack) > 0, c == '-' && start && i+1 < len(rs) && rs[i+1] == ' ':
				start = true
			default:
				start = false
			}
		}
		if quoteEnd == 0 && len(stack) == 0 && blockText.MatchString(line) {
			block = in
		}
	}
	if len(stack) > 0 && s.open.Line == 0 {
		top := stack[len(stack)-1]
		s.open, s.closer = top.at, top.close
	}
	return s
}

var (
	keyLike   = regexp.MustCompile(`^\s*(- )?[\pL_][^\[\]{},"'#]*:(\s|$)`)
	blockText = regexp.MustCompile(`(:|-)\s+[|>][-+0-9]*\s*(#.*)?$`)
)

// afterBracket reports whether the last character before is a bracket: "]]".
func afterBracket(rs []rune) bool {
	s := strings.TrimRight(string(rs), " ")
	return strings.HasSuffix(s, "]") || strings.HasSuffix(s, "}")
}

// shallow finds the line to show for a fault that has no better place: the
// first line that is indented less than its neighbours but more than a parent,
// else the line after the library's, which counts parser faults from 0.
func (s scanned) shallow(lines []string, said int) int {
	var open []int
	block := -1
	for i, line := range lines {
		t := strings.TrimSpace(line)
		in := len(line) - len(strings.TrimLeft(line, " "))
		if t == "" || strings.HasPrefix(t, "#") || block >= 0 && in > block {
			continue
		}
		block = -1
		for len(open) > 0 && in < open[len(open)-1] {
			open = open[:len(open)-1]
			if len(open) == 0 || in > open[len(open)-1] {
				return i + 1
			}
		}
		if len(open) == 0 || in > open[len(open)-1] {
			open = append(open, in)
		}
		if strings.HasPrefix(t, "- ") {
			if inner := in + 2; keyLike.MatchString(t[2:]) {
				open = append(open, inner)
			}
		}
		if blockText.MatchString(line) {
			block = in
		}
	}
	n := min(max(said+1, 1), len(lines))
	for n > 1 && strings.TrimSpace(lines[n-1]) == "" {
		n--
	}
	return n
}

// colon places "mapping values are not allowed": a second colon on a line, or
// a line that is indented under a value.
func (r *reader) colon(file diag.File, lines []string, said int) {
	n := min(max(said, 1), len(lines))
	line := []rune(lines[n-1])
	colons := 0
	for i, c := range line {
		if c == '#' && (i == 0 || line[i-1] == ' ') {
			break
		}
		if c == ':' && (i+1 == len(line) || line[i+1] == ' ') {
			if colons++; colons == 2 {
				r.fail(place{diag.At(file, n, i+1), 1}, "second-colon", "a second colon in one value", "put quotes around text that holds a colon")
				return
			}
		}
	}
	above := n - 1
	for above > 0 && strings.TrimSpace(lines[above-1]) == "" {
		above--
	}
	if above > 0 && indent(lines, above) == indent(lines, n) && !strings.Contains(lines[above-1], ":") {
		r.fail(place{pos: diag.At(file, above, indent(lines, above)+1)}, "no-colon", "a line without a colon", "write key: value")
		return
	}
	r.fail(place{pos: diag.At(file, n, indent(lines, n)+1)}, "bad-indent", "the line is indented under a value that is complete",
		"indent it like the line above; a missing colon or an open text above is another cause")
}

// badStart finds a value that starts with a sign that YAML keeps for itself.
func badStart(lines []string, said int) (diag.Pos, string) {
	for n := max(said, 1); n <= len(lines); n++ {
		if m := badValue.FindStringSubmatchIndex(lines[n-1]); m != nil {
			return inText(n, runes(lines[n-1][:m[2]])+1), lines[n-1][m[2]:m[3]]
		}
	}
	n := min(max(said, 1), len(lines))
	return inText(n, indent(lines, n)+1), strings.TrimSpace(lines[n-1])
}

var badValue = regexp.MustCompile("(?:^|[:,\\[{-])\\s*([@`%&*!|>][^\\s,\\]}]*)")

// missingColon finds the first line from the library's on that is not an entry.
func missingColon(lines []string, said int) int {
	for n := max(said, 1); n <= len(lines); n++ {
		t := strings.TrimSpace(lines[n-1])
		if t != "" && !strings.HasPrefix(t, "#") && !strings.HasPrefix(t, "- ") && !strings.Contains(t, ":") {
			return n
		}
	}
	return min(max(said, 1), len(lines))
}

var lone = regexp.MustCompile(`(?:[:,\[{]|^\s*-)\s+(\?)\s*(?:[,\]}]|$)|\[(\?)[,\]]`)

// loneMark finds a question mark that stands in the place of a value.
func loneMark(lines []string) diag.Pos {
	for n, line := range lines {
		if m := lone.FindStringSubmatchIndex(line); m != nil {
			return inText(n+1, runes(line[:max(m[2], m[4])])+1)
		}
	}
	return diag.Pos{}
}

// inText is a place in a text whose file is told later.
func inText(line, column int) diag.Pos { return diag.At(diag.File{}, line, column) }

func findToken(lines []string, token string, from int) diag.Pos {
	for n := from; n <= len(lines); n++ {
		if i := strings.Index(lines[n-1], token); i >= 0 {
			return inText(n, runes(lines[n-1][:i])+1)
		}
	}
	return inText(min(max(from, 1), len(lines)), 1)
}

// indent is the number of leading blanks of a line.
func indent(lines []string, n int) int {
	if n < 1 || n > len(lines) {
		return 0
	}
	return len(lines[n-1]) - len(strings.TrimLeft(lines[n-1], " \t"))
}
