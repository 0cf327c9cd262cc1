package trialfile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"tamis/internal/trial"
)

// ErrNoPlace says that an edit names a place that the file does not have.
var ErrNoPlace = errors.New("no such place in the file")

// Set changes or adds one value of a trial file and leaves every other byte as
// it is, comments and order included. The path is made of keys; an entry of a
// list is named by its id or its number from 0: Set(doc, "18 mm", "cooks",
// "A", "pieces", "A1", "thickness"). The value is plain text, quoted where YAML
// needs it. Keys that are missing at the end of the path are added at the end
// of their group; a missing list entry is ErrNoPlace, as is a text that is no
// YAML.
func Set(doc []byte, value string, path ...string) ([]byte, error) {
	return splice(doc, textItem(value), path)
}

// SetFrom copies top-level keys of a trial into a trial file, each as Write
// lays it out, in the place of what the file had, or at its end. A key that
// the trial has nothing for is removed.
func SetFrom(doc []byte, t *trial.Trial, keys ...string) ([]byte, error) {
	tree := treeOf(t)
	for _, k := range keys {
		if trialTable.find(k) < 0 {
			return nil, fmt.Errorf("%w: %s", ErrNoPlace, k)
		}
		var err error
		if doc, err = splice(doc, tree.get(k), []string{k}); err != nil {
			return nil, err
		}
	}
	return doc, nil
}

// splice replaces the value at path by v; a nil v removes the key.
func splice(doc []byte, v *item, path []string) ([]byte, error) {
	if len(path) == 0 {
		return nil, fmt.Errorf("%w: the path is empty", ErrNoPlace)
	}
	s := strings.TrimPrefix(string(doc), "\uFEFF")
	parsed, err := decode(s)
	if err != nil || parsed == nil || parsed.second != nil || len(parsed.first.Content) == 0 {
		return nil, fmt.Errorf("%w: the file is not one YAML document", ErrNoPlace)
	}
	e := editor{lines: strings.SplitAfter(s, "\n")}
	if strings.Contains(s, "\r\n") {
		e.newline = "\r\n"
	} else {
		e.newline = "\n"
	}
	if err := e.edit(parsed.first.Content[0], v, path); err != nil {
		return nil, err
	}
	return []byte(string(doc[:len(doc)-len(s)]) + strings.Join(e.lines, "")), nil
}

// editor changes text line by line; a node of the tree says where.
type editor struct {
	lines   []string
	newline string
}

func (e *editor) edit(n *yaml.Node, v *item, path []string) error {
	parentEnd := len(e.lines) + 1 // first line after the group of n
	for depth, key := range path {
		last := depth == len(path)-1
		switch n.Kind {
		case yaml.MappingNode:
			i := keyIndex(n, key)
			if i < 0 {
				if v == nil {
					return nil
				}
				for j := len(path) - 1; j > depth; j-- { // missing groups come along
					v = &item{kind: mapping, flow: true, entries: []entry{{key: textItem(path[j]), value: v}}}
				}
				return e.insert(n, key, v, parentEnd)
			}
			k, old := n.Content[i], n.Content[i+1]
			end := parentEnd
			if i+2 < len(n.Content) && n.Content[i+2].Line > k.Line {
				end = n.Content[i+2].Line
			}
			if last {
				return e.replace(n, k, old, v, end)
			}
			n, parentEnd = old, end
		case yaml.SequenceNode:
			i := entryIndex(n, key)
			if i < 0 || last {
				return fmt.Errorf("%w: %s", ErrNoPlace, strings.Join(path[:depth+1], " › "))
			}
			if i+1 < len(n.Content) && n.Content[i+1].Line > n.Content[i].Line {
				parentEnd = n.Content[i+1].Line
			}
			n = n.Content[i]
		default:
			return fmt.Errorf("%w: %s", ErrNoPlace, strings.Join(path[:depth+1], " › "))
		}
	}
	return nil
}

func keyIndex(n *yaml.Node, key string) int {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == key {
			return i
		}
	}
	return -1
}

// entryIndex finds an entry of a list by the value of its key id, else by number.
func entryIndex(n *yaml.Node, key string) int {
	for i, c := range n.Content {
		if c.Kind == yaml.MappingNode {
			if k := keyIndex(c, "id"); k >= 0 && c.Content[k+1].Value == key {
				return i
			}
		}
	}
	if i, err := strconv.Atoi(key); err == nil && i >= 0 && i < len(n.Content) {
		return i
	}
	return -1
}

// replace puts v in the place of the value old of the key k of n.
func (e *editor) replace(n, k, old *yaml.Node, v *item, end int) error {
	flow := n.Style&yaml.FlowStyle != 0
	oneLine := v != nil && (v.kind == scalar && !asBlock(v.text) || v.flow)
	if flow {
		if v == nil || !oneLine && v.kind != scalar {
			return fmt.Errorf("%w: %s stands in brackets; write it on lines of its own", ErrNoPlace, k.Value)
		}
		from, to, ok := e.scalarSpan(k, old, true)
		if !ok {
			return fmt.Errorf("%w: the value of %s cannot be replaced in place", ErrNoPlace, k.Value)
		}
		e.cut(from, to, flowText(v, true))
		return nil
	}
	if oneLine {
		if from, to, ok := e.scalarSpan(k, old, false); ok {
			e.cut(from, to, flowText(v, false))
			return nil
		}
	}
	// The whole of the key: its lines up to the next key, without the comments
	// and blank lines that belong to that.
	start := k.Line - 1
	stop := e.trimEnd(start, end-1, k.Column-1)
	head := string([]rune(e.lines[start])[:k.Column-1]) // "- " where the key opens a list entry
	if v == nil {
		if strings.TrimSpace(head) != "" {
			return fmt.Errorf("%w: %s opens a list entry and cannot be removed", ErrNoPlace, k.Value)
		}
		e.lines = append(e.lines[:start:start], e.lines[stop:]...)
		return nil
	}
	text := e.render(k.Value, v, k.Column-1)
	text = head + text[k.Column-1:]
	e.lines = append(append(e.lines[:start:start], text), e.lines[stop:]...)
	return nil
}

// insert adds a key at the end of the group n.
func (e *editor) insert(n *yaml.Node, key string, v *item, end int) error {
	if n.Style&yaml.FlowStyle != 0 {
		if v.kind != scalar && !v.flow {
			return fmt.Errorf("%w: %s stands in brackets; write it on lines of its own", ErrNoPlace, key)
		}
		return e.insertFlow(n, key, v)
	}
	column := n.Column - 1
	if len(n.Content) > 0 {
		column = n.Content[0].Column - 1
	}
	at := e.trimEnd(n.Line-1, end-1, column)
	if at > 0 && !strings.HasSuffix(e.lines[at-1], "\n") {
		e.lines[at-1] += e.newline
	}
	text := e.render(key, v, column)
	e.lines = append(append(e.lines[:at:at], text), e.lines[at:]...)
	return nil
}

// insertFlow adds a key before the closing brace of {…}.
func (e *editor) insertFlow(n *yaml.Node, key string, v *item) error {
	line, at, ok := e.closing(n)
	if !ok {
		return fmt.Errorf("%w: the end of a group in brackets was not found", ErrNoPlace)
	}
	rs := []rune(e.lines[line])
	before := strings.TrimRight(string(rs[:at]), " ")
	sep := ", "
	if len(n.Content) == 0 || strings.HasSuffix(before, ",") {
		sep = " "
		if len(n.Content) == 0 {
			sep = ""
		}
	}
	e.lines[line] = before + sep + plainOrQuoted(key, true) + ": " + flowText(v, true) + string(rs[at:])
	return nil
}

// closing finds the brace that closes a flow mapping.
func (e *editor) closing(n *yaml.Node) (line, at int, ok bool) {
	depth := 0
	var quote rune
	start := true
	for line = n.Line - 1; line < len(e.lines); line++ {
		rs := []rune(e.lines[line])
		i := 0
		if line == n.Line-1 {
			i = n.Column - 1
		}
		for ; i < len(rs); i++ {
			c := rs[i]
			switch {
			case quote != 0:
				if c == '\\' && quote == '"' {
					i++
				} else if c == quote {
					if quote == '\'' && i+1 < len(rs) && rs[i+1] == '\'' {
						i++
					} else {
						quote = 0
					}
				}
				continue
			case c == '#' && i > 0 && (rs[i-1] == ' ' || rs[i-1] == '\t'):
				i = len(rs)
				continue
			case (c == '"' || c == '\'') && start:
				quote = c
			case c == '{' || c == '[':
				depth++
			case c == '}' || c == ']':
				if depth--; depth == 0 {
					return line, i, true
				}
			}
			if c != ' ' {
				start = strings.ContainsRune(":,[{", c)
			}
		}
	}
	return 0, 0, false
}

type mark struct{ line, at int } // from 0

// scalarSpan is the text of a value that stands on one line, for replacement.
func (e *editor) scalarSpan(k, old *yaml.Node, flow bool) (from, to mark, ok bool) {
	line := []rune(strings.TrimRight(e.lines[k.Line-1], "\r\n"))
	if old.Kind == yaml.ScalarNode && old.Value == "" && old.Style == 0 { // a blank: right after the colon
		at := k.Column - 1 + runes(k.Value)
		if k.Style != 0 {
			at += 2
		}
		for at < len(line) && line[at] != ':' {
			at++
		}
		if at >= len(line) {
			return from, to, false
		}
		return mark{k.Line - 1, at + 1}, mark{k.Line - 1, -1}, true // -1: insert, with a space
	}
	if old.Anchor != "" || old.Kind == yaml.AliasNode || old.Style&(yaml.LiteralStyle|yaml.FoldedStyle|yaml.TaggedStyle) != 0 || old.Line != k.Line {
		return from, to, false
	}
	start := old.Column - 1
	if old.Kind != yaml.ScalarNode {
		if old.Style&yaml.FlowStyle == 0 {
			return from, to, false
		}
		l, at, ok := e.closing(old)
		return mark{old.Line - 1, start}, mark{l, at + 1}, ok && l == old.Line-1
	}
	end := start
	if q := line[start]; q == '"' || q == '\'' {
		for end = start + 1; end < len(line); end++ {
			if line[end] == '\\' && q == '"' {
				end++
			} else if line[end] == q {
				if q == '\'' && end+1 < len(line) && line[end+1] == '\'' {
					end++
					continue
				}
				return mark{k.Line - 1, start}, mark{k.Line - 1, end + 1}, true
			}
		}
		return from, to, false // it goes on on the next line
	}
	end = start + runes(old.Value)
	if end > len(line) || string(line[start:end]) != old.Value {
		return from, to, false
	}
	return mark{k.Line - 1, start}, mark{k.Line - 1, end}, true
}

// cut replaces the text between two marks of one line.
func (e *editor) cut(from, to mark, s string) {
	rs := []rune(e.lines[from.line])
	if to.at < 0 {
		to.at = from.at
		s = " " + s
	}
	e.lines[from.line] = string(rs[:from.at]) + s + string(rs[to.at:])
}

// trimEnd moves the end of a group, lines start to end, back over blank lines
// and over comments that are not indented further than its keys.
func (e *editor) trimEnd(start, end, column int) int {
	end = min(end, len(e.lines))
	for end > start+1 {
		l := strings.TrimRight(e.lines[end-1], "\r\n")
		t := strings.TrimSpace(l)
		in := len(l) - len(strings.TrimLeft(l, " "))
		if t != "" && !(strings.HasPrefix(t, "#") && in <= column) && t != "..." {
			break
		}
		end--
	}
	return end
}

// render writes a key with its value in block style, indented by column.
func (e *editor) render(key string, v *item, column int) string {
	var w emitter
	w.entries(&item{kind: mapping, entries: []entry{{key: textItem(key), value: v}}}, column)
	return strings.ReplaceAll(w.b.String(), "\n", e.newline)
}
