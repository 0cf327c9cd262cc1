package report

import (
	"bytes"
	"regexp"
	"strings"
)

// DecimalComma rewrites a page of this package so that its numbers have a
// decimal comma: 5.5 becomes 5,5, in its words, its pictures, their files and
// its live charts. What the author wrote stays as it was written, and so do
// code, versions and the data to save, whose numbers are for programs. The page
// is not altered; a new one is returned.
//
// It knows the pages by three marks: text inside <bdi>, <code> or an element
// with dir="auto" (but for headings under the first) or translate="no" is left
// alone, and so are styles and scripts.
func DecimalComma(page []byte) []byte {
	var out bytes.Buffer
	out.Grow(len(page) + 64)
	var kept []string // open elements whose text stays; all inside one of them too
	for len(page) > 0 {
		if page[0] != '<' {
			end := bytes.IndexByte(page, '<')
			if end < 0 {
				end = len(page)
			}
			if len(kept) > 0 {
				out.Write(page[:end])
			} else {
				out.WriteString(commas(string(page[:end])))
			}
			page = page[end:]
			continue
		}
		end := tagEnd(page)
		tag := string(page[:end])
		page = page[end:]
		name, closes := tagName(tag)
		if svgHref := `href="data:image/svg+xml;charset=utf-8,`; len(kept) == 0 && strings.Contains(tag, svgHref) {
			at := strings.Index(tag, svgHref) + len(svgHref)
			to := at + valueEnd(tag[at:])
			tag = tag[:at] + string(DecimalComma([]byte(tag[at:to]))) + tag[to:]
		}
		if at := strings.Index(tag, ` aria-label="`); at >= 0 && len(kept) == 0 {
			at += len(` aria-label="`)
			to := at + valueEnd(tag[at:])
			tag = tag[:at] + commas(tag[at:to]) + tag[to:]
		}
		out.WriteString(tag)
		switch {
		case closes:
			if n := len(kept); n > 0 && kept[n-1] == name {
				kept = kept[:n-1]
			}
		case name == "style" || name == "script":
			stop := bytes.Index(page, []byte("</"+name))
			if stop < 0 {
				stop = len(page)
			}
			body := page[:stop]
			if strings.Contains(tag, `"application/json"`) {
				body = commasInJSON(body)
			}
			out.Write(body)
			page = page[stop:]
		case len(kept) > 0 && kept[len(kept)-1] == name && !strings.HasSuffix(tag, "/>"),
			name == "bdi", name == "code", strings.Contains(tag, ` dir="auto"`) && !ownHeading[name], strings.Contains(tag, ` translate="no"`):
			if !void[name] {
				kept = append(kept, name)
			}
		}
	}
	return out.Bytes()
}

// valueEnd is how long a value is, up to the quotation mark that ends it.
func valueEnd(s string) int {
	if i := strings.IndexByte(s, '"'); i >= 0 {
		return i
	}
	return len(s)
}

// ownHeading are headings of the program, with the author's names in them.
var ownHeading = map[string]bool{"h2": true, "h3": true, "h4": true}

var void = map[string]bool{"br": true, "hr": true, "img": true, "input": true, "link": true, "meta": true}

// tagEnd is where a tag ends; a > within quotation marks does not end it.
func tagEnd(b []byte) int {
	var quote byte
	for i, c := range b {
		switch {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return i + 1
		}
	}
	return len(b)
}

func tagName(tag string) (name string, closes bool) {
	s := strings.TrimPrefix(tag, "<")
	s, closes = strings.CutPrefix(s, "/")
	if i := strings.IndexAny(s, " \t\r\n/>"); i >= 0 {
		s = s[:i]
	}
	return strings.ToLower(s), closes
}

// commas puts a comma into each number that has one point with digits on both
// sides and stands by itself: not in versions, names of files or addresses.
func commas(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	b := []byte(s)
	for i := 0; i < len(b); {
		if !digit(b[i]) {
			i++
			continue
		}
		start, points, at := i, 0, 0
		for i < len(b) && (digit(b[i]) || b[i] == '.' && i+1 < len(b) && digit(b[i+1])) {
			if b[i] == '.' {
				points, at = points+1, i
			}
			i++
		}
		before := start == 0 || !wordByte(b[start-1])
		after := i == len(b) || !wordByte(b[i]) || b[i] == '.' && (i+1 == len(b) || !wordByte(b[i+1])) || exponent.Match(b[i:])
		if points == 1 && before && after {
			b[at] = ','
		}
	}
	return string(b)
}

// exponent is the power of ten after a number, with a true minus sign or a hyphen.
var exponent = regexp.MustCompile(`^e(?:−|[-+])?\d+(?:[^\w.]|\.?$|\.\s)`)

func digit(c byte) bool { return c >= '0' && c <= '9' }

// wordByte is a byte of a name that a number is part of: a letter, or what joins
// the parts of a name.
func wordByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' || c == '.' || c == '/'
}

// commasInJSON rewrites the strings of a JSON text, never its numbers.
func commasInJSON(b []byte) []byte {
	var out bytes.Buffer
	for len(b) > 0 {
		start := bytes.IndexByte(b, '"')
		if start < 0 {
			break
		}
		end := start + 1
		for end < len(b) && b[end] != '"' {
			if b[end] == '\\' {
				end++
			}
			end++
		}
		end = min(end, len(b))
		out.Write(b[:start])
		out.WriteString(commas(string(b[start:end])))
		b = b[end:]
		if len(b) > 0 {
			out.WriteByte('"')
			b = b[1:]
		}
	}
	out.Write(b)
	return out.Bytes()
}
