package trialfile

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longestCommented is the longest line that gets a comment behind it.
const longestCommented = 48

// emitter writes items as YAML.
type emitter struct {
	b        strings.Builder
	comments bool
}

// entries writes a mapping in block style at an indentation.
func (e *emitter) entries(it *item, indent int) {
	pad := strings.Repeat(" ", indent)
	for _, en := range it.entries {
		e.b.WriteString(pad)
		e.value(plainOrQuoted(en.key.text, true)+":", en.value, indent, en.doc)
	}
}

// value writes what follows a key or a dash, which is in head.
func (e *emitter) value(head string, v *item, indent int, doc string) {
	e.b.WriteString(head)
	switch {
	case v.kind == blank:
		e.end(head, doc)
	case v.kind == scalar && asBlock(v.text):
		mark := "|-"
		body := v.text
		if strings.HasSuffix(body, "\n") {
			mark, body = "|", strings.TrimSuffix(body, "\n")
		}
		e.b.WriteString(" " + mark)
		e.end(head, doc)
		for _, l := range strings.Split(body, "\n") {
			if l != "" {
				e.b.WriteString(strings.Repeat(" ", indent+2) + l)
			}
			e.b.WriteByte('\n')
		}
	case v.kind == scalar || v.flow || len(v.list)+len(v.entries) == 0:
		s := flowText(v, false)
		e.b.WriteString(" " + s)
		e.end(head+" "+s, doc)
	case v.kind == mapping:
		e.end(head, doc)
		e.entries(v, indent+2)
	default:
		e.end(head, doc)
		for _, x := range v.list {
			e.element(x, indent+2)
		}
	}
}

// element writes one entry of a list in block style.
func (e *emitter) element(x *item, indent int) {
	pad := strings.Repeat(" ", indent)
	if x.kind != mapping || x.flow || len(x.entries) == 0 {
		e.b.WriteString(pad)
		e.value("-", x, indent, "")
		return
	}
	start := e.b.Len()
	e.entries(x, indent+2)
	s := e.b.String()[start:]
	keep := e.b.String()[:start]
	e.b.Reset()
	e.b.WriteString(keep)
	e.b.WriteString(pad + "- " + s[indent+2:])
}

// end finishes a line with its comment.
func (e *emitter) end(line, doc string) {
	if e.comments && doc != "" && utf8.RuneCountInString(line) <= longestCommented {
		e.b.WriteString(strings.Repeat(" ", max(2, 36-utf8.RuneCountInString(line))) + "# " + doc)
	}
	e.b.WriteByte('\n')
}

// flowText is a value on one line.
func flowText(v *item, inside bool) string {
	var parts []string
	switch v.kind {
	case blank:
		return "~"
	case scalar:
		return plainOrQuoted(v.text, inside)
	case list:
		for _, x := range v.list {
			parts = append(parts, flowText(x, true))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	for _, en := range v.entries {
		parts = append(parts, plainOrQuoted(en.key.text, true)+": "+flowText(en.value, true))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// plainOrQuoted writes text without quotes where that is beyond doubt.
func plainOrQuoted(s string, inside bool) string {
	if isPlain(s, inside) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == ' ' || unicode.IsPrint(r):
			b.WriteRune(r)
		case r <= 0xFF:
			fmt.Fprintf(&b, `\x%02X`, r)
		case r <= 0xFFFF:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			fmt.Fprintf(&b, `\U%08X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// isPlain is careful: what it lets through is the same text to every reader of
// YAML, apart from words such as no and numbers, which this format reads raw.
func isPlain(s string, inside bool) bool {
	if s == "" || strings.TrimSpace(s) != s || s == "null" || s == "Null" || s == "NULL" {
		return false
	}
	rs := []rune(s)
	switch c := rs[0]; {
	case unicode.IsLetter(c), '0' <= c && c <= '9':
	case (c == '-' || c == '+' || c == '.') && len(rs) > 1 && '0' <= rs[1] && rs[1] <= '9':
	default:
		return false
	}
	for i, c := range rs {
		switch {
		case c == ':' && (i+1 == len(rs) || !('0' <= rs[i+1] && rs[i+1] <= '9')):
			return false
		case c == '#' && rs[i-1] == ' ':
			return false
		case inside && strings.ContainsRune(",[]{}", c):
			return false
		case c != ' ' && !unicode.IsPrint(c), c == '"' || c == '\'' || c == '\\':
			return false
		}
	}
	return true
}

// asBlock reports whether a text of several lines can stand after | as it is.
func asBlock(s string) bool {
	body := strings.TrimSuffix(s, "\n")
	if !strings.Contains(s, "\n") || body == "" || strings.HasPrefix(body, " ") || strings.HasPrefix(body, "\n") || strings.HasSuffix(body, "\n") {
		return false
	}
	for _, l := range strings.Split(body, "\n") {
		if strings.TrimRight(l, " ") != l || strings.HasPrefix(l, "#") {
			return false
		}
		for _, c := range l {
			if c != ' ' && !unicode.IsPrint(c) {
				return false
			}
		}
	}
	return true
}
