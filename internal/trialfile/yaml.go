package trialfile

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"tamis/internal/diag"
)

// parseYAML turns the text of a trial file into items. It returns nil after a
// fault that leaves nothing to read.
func (r *reader) parseYAML(file diag.File, text string) *item {
	doc, err := decode(text)
	if err != nil {
		r.syntax(file, text, err)
		return nil
	}
	if doc == nil || len(doc.first.Content) == 0 || doc.second == nil && doc.first.Content[0].Tag == "!!null" {
		r.fail(place{pos: diag.Pos{File: file}}, "empty-file", "the file is empty", "start with tamis: 1")
		return nil
	}
	if doc.second != nil {
		r.fail(place{diag.At(file, doc.second.Line, 1), 3}, "several-documents",
			"a second document starts here", "keep one trial in a file: remove the line ---")
	}
	y := yamlReader{r: r, file: file}
	return y.item(doc.first.Content[0], 0)
}

type yamlDoc struct{ first, second *yaml.Node }

// decode parses at most two documents. The library reports some faults by
// panicking; whatever it does, the answer is an error.
func decode(text string) (doc *yamlDoc, err error) {
	defer func() {
		if p := recover(); p != nil {
			doc, err = nil, errors.New("yaml: the text cannot be read")
		}
	}()
	dec := yaml.NewDecoder(strings.NewReader(text))
	var first, second yaml.Node
	if err := dec.Decode(&first); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		return nil, err
	}
	switch err := dec.Decode(&second); {
	case errors.Is(err, io.EOF):
		return &yamlDoc{first: &first}, nil
	case err != nil:
		return nil, err
	}
	return &yamlDoc{&first, &second}, nil
}

type yamlReader struct {
	r        *reader
	file     diag.File
	open     []*yaml.Node // anchored values that are being read, to find loops
	aliases  int          // depth of alias expansion
	expanded int
	full     bool // too large was reported
	deep     bool // too deep was reported
}

func (y *yamlReader) at(n *yaml.Node) place {
	p := place{pos: diag.At(y.file, n.Line, n.Column)}
	switch {
	case n.Kind == yaml.AliasNode:
		p.width = runes(n.Value) + 1
	case n.Kind != yaml.ScalarNode || n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		p.width = 1
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) == 0 && n.Anchor == "" && n.Style&yaml.TaggedStyle == 0:
		p.width = max(runes(n.Value), 1)
	}
	return p
}

// scalar is a new item with a text.
func (y *yamlReader) scalar(text string, at place) *item {
	it := y.r.work.item(scalar, at)
	it.text = text
	return it
}

// bad is a value in which a fault was reported.
func (y *yamlReader) bad(at place) *item {
	it := y.r.work.item(blank, at)
	it.bad = true
	return it
}

// item reads one node; level counts the nesting.
func (y *yamlReader) item(n *yaml.Node, level int) *item {
	at := y.at(n)
	if y.full {
		return y.bad(at)
	}
	if level > maxNesting {
		if !y.deep { // once; the rest of the file is read
			y.deep = true
			y.r.fail(at, "too-deep", fmt.Sprintf("nested more than %d levels deep", maxNesting), "close the brackets before this place, or move a table to a CSV file")
		}
		return y.bad(at)
	}
	if y.aliases > 0 {
		if y.expanded++; y.expanded > maxExpanded {
			y.full = true
			y.r.fail(at, "alias-bomb", fmt.Sprintf("the aliases expand to more than %d values", maxExpanded), "write the values out, or move them to a CSV file")
			return y.bad(at)
		}
	}
	if n.Style&yaml.TaggedStyle != 0 && n.Kind != yaml.AliasNode {
		y.r.fail(at, "yaml-tag", "a type tag is not part of the format", "remove "+n.Tag)
	}
	switch n.Kind {
	case yaml.AliasNode:
		return y.alias(n, at, level)
	case yaml.SequenceNode:
		return y.sequence(n, at, level)
	case yaml.MappingNode:
		return y.mapping(n, at, level)
	}
	it := y.scalar(n.Value, at)
	it.quoted = n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0
	if !it.quoted && (n.Value == "" || n.Value == "~") {
		it.kind, it.text = blank, ""
	}
	return it
}

func (y *yamlReader) alias(n *yaml.Node, at place, level int) *item {
	if n.Alias == nil || slices.Contains(y.open, n.Alias) {
		y.r.fail(at, "alias-loop", fmt.Sprintf("*%s contains itself", n.Value), "write the value out")
		return y.bad(at)
	}
	y.aliases++
	it := y.item(n.Alias, level)
	y.aliases--
	return it
}

// enter and leave keep the list of anchored values that are being read.
func (y *yamlReader) enter(n *yaml.Node) {
	if n.Anchor != "" {
		y.open = append(y.open, n)
	}
}

func (y *yamlReader) leave(n *yaml.Node) {
	if n.Anchor != "" {
		y.open = y.open[:len(y.open)-1]
	}
}

// keyFinder finds keys among entries that are only ever added: few by looking at
// them, many by an index.
type keyFinder map[string]int

// fewKeys are looked at one by one.
const fewKeys = 16

func (x *keyFinder) find(entries []entry, key string) int {
	if len(entries) <= fewKeys {
		return slices.IndexFunc(entries, func(e entry) bool { return e.key.text == key })
	}
	if *x == nil {
		*x = keyFinder{}
	}
	for i := len(*x); i < len(entries); i++ {
		(*x)[entries[i].key.text] = i
	}
	if i, ok := (*x)[key]; ok {
		return i
	}
	return -1
}

func (y *yamlReader) sequence(n *yaml.Node, at place, level int) *item {
	y.enter(n)
	defer y.leave(n)
	it := y.r.work.item(list, at)
	it.list = y.r.work.values.take(len(n.Content))[:0]
	sound := len(n.Content) == 0
	for _, c := range n.Content {
		v := y.item(c, level+1)
		it.list = append(it.list, v)
		sound = sound || v.kind != blank || !v.bad
		if y.full {
			break
		}
	}
	if !sound { // nothing in it was read
		return y.bad(it.at)
	}
	return it
}

func (y *yamlReader) mapping(n *yaml.Node, at place, level int) *item {
	y.enter(n)
	defer y.leave(n)
	it := y.r.work.item(mapping, at)
	it.entries = y.r.work.entries.take(len(n.Content) / 2)[:0]
	var keys keyFinder
	for i := 0; i+1 < len(n.Content) && !y.full; i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		for k.Kind == yaml.AliasNode && k.Alias != nil {
			k = k.Alias
		}
		at := y.at(n.Content[i])
		if k.Kind != yaml.ScalarNode {
			y.r.fail(at, "bad-key", "a key is one word", "put quotes around text that starts with a bracket")
			continue
		}
		if k.Value == "<<" && k.Style == 0 {
			y.r.fail(at, "merge-key", "merge keys are not part of the format", "write the keys out")
			it.part = true
			continue
		}
		if first := keys.find(it.entries, k.Value); first >= 0 {
			y.r.say(diag.Error, at, "duplicate-key", fmt.Sprintf("the key %s stands twice", quote(k.Value)), "", "keep one of them", note(it.entries[first].key.at.pos, "first here"))
			continue
		}
		key := y.scalar(k.Value, at)
		it.entries = append(it.entries, entry{key: key, value: y.item(v, level+1)})
	}
	it.part = it.part || y.full
	for _, e := range it.entries {
		if e.value.kind != blank || !e.value.bad {
			return it
		}
	}
	if len(it.entries) > 0 && level > 0 { // nothing in it was read
		return y.bad(it.at)
	}
	return it
}
