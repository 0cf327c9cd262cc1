package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var scoreTable = object[trial.Score]{noun: "a line of a score sheet", fields: []field[trial.Score]{
	must(val("assessor", "who scored", idCodec, func(s *trial.Score) *string { return &s.Assessor })),
	opt("session", "tasting session", idCodec, func(s *trial.Score) *trial.Opt[string] { return &s.Session }),
	opt("repeat", "which repeat of the same sample", idCodec, func(s *trial.Score) *trial.Opt[string] { return &s.Repeat }),
	opt("position", "place in the serving order, 1 is first", count(1, 10_000), func(s *trial.Score) *trial.Opt[int] { return &s.Position }),
	opt("code", "blind code", idCodec, func(s *trial.Score) *trial.Opt[string] { return &s.Code }),
	opt("piece", "id of the piece", idCodec, func(s *trial.Score) *trial.Opt[string] { return &s.Piece }),
	val("cook", "id of the cook", idCodec, func(s *trial.Score) *string { return &s.Cook }),
	opt("at", "clock time of the bite", clock, func(s *trial.Score) *trial.Opt[trial.Clock] { return &s.Clock }),
	opt("served_at", "temperature at the bite", temperature, func(s *trial.Score) *trial.Opt[quantity.Temperature] { return &s.ServedAt }),
	opt("why_missing", "why there is no score", text, func(s *trial.Score) *trial.Opt[string] { return &s.WhyMissing }),
	opt("left_out", "why the score is not used", text, func(s *trial.Score) *trial.Opt[string] { return &s.LeftOut }),
	opt("notes", "anything said", text, func(s *trial.Score) *trial.Opt[string] { return &s.Notes }),
}, values: func(s *trial.Score) *trial.Readings { return &s.Values },
	own:    "if it was judged or measured on every sample, name it under measures; if it belongs to a piece or a cook, put it into their table",
	finish: func(_ *reader, it *item, s *trial.Score) { s.At = it.at.pos }}

var keyTable = object[trial.KeyEntry]{noun: "a line of the key", fields: []field[trial.KeyEntry]{
	must(val("code", "blind code", idCodec, func(k *trial.KeyEntry) *string { return &k.Code })),
	must(val("piece", "id of the piece, or of the cook", idCodec, func(k *trial.KeyEntry) *string { return &k.Piece })),
}, finish: func(_ *reader, it *item, k *trial.KeyEntry) { k.At = it.at.pos }}

// readPanelFiles reads the key and the scores once all cooks are known.
func (r *reader) readPanelFiles() {
	p := &r.t.Panel.V
	key := r.readKey(p)
	r.readTriangles(key)
	if !p.ScoresFile.Known {
		return
	}
	t := r.table(pathItem(p.ScoresFile), true)
	if t == nil {
		return
	}
	if !r.scoreHeader(t) {
		probe(r, t, r.columns(t), &scoreTable)
		return
	}
	var seen map[string]diag.Pos // by who scored what and when, from the first line on that does not say its place
	p.Scores = eachRow(r, t, &scoreTable, func(s *trial.Score, it *item, before []trial.Score) bool {
		if s.Assessor == "" || !r.resolve(s, it, key) {
			return false
		}
		if seen == nil && !s.Position.Known {
			seen = make(map[string]diag.Pos, len(t.rows))
			for i := range before {
				seen[sampleKey(&before[i])] = before[i].At
			}
		}
		if seen != nil {
			key := sampleKey(s)
			if first, dup := seen[key]; dup && !s.Position.Known {
				r.say(diag.Warning, here(s.At), "scored-twice", fmt.Sprintf("%s scored this sample twice", s.Assessor), "", "add a column repeat, or delete one line", note(first, "first here"))
			}
			seen[key] = s.At
		}
		return true
	})
}

// readKey reads the key of a panel.
func (r *reader) readKey(p *trial.Panel) *codebook {
	key := &codebook{}
	if !p.KeyFile.Known {
		return key
	}
	t := r.table(pathItem(p.KeyFile), true)
	if t == nil {
		return key
	}
	key.there, key.of = true, make(map[string]*trial.KeyEntry, len(t.rows))
	where := r.samples()
	p.Key = eachRow(r, t, &keyTable, func(k *trial.KeyEntry, it *item, _ []trial.KeyEntry) bool {
		if first, dup := key.of[k.Code]; dup && k.Code != "" {
			r.say(diag.Error, it.get("code").at, "duplicate-id", fmt.Sprintf("the code %s stands twice", quote(k.Code)), "", "give every piece a code of its own", note(first.At, "first here"))
			return true
		}
		key.of[k.Code] = k
		if _, ok := where.of[k.Piece]; !ok && k.Piece != "" && !r.noCooks() {
			r.fail(it.get("piece").at, "unknown-piece", fmt.Sprintf("the code %s belongs to %s, which is no piece and no cook", quote(k.Code), quote(k.Piece)), r.nearest(k.Piece, where.names()))
		}
		return true
	})
	return key
}

// sampleKey is who scored which sample, and in which repeat of which session.
func sampleKey(s *trial.Score) string {
	sample := s.Cook + "\x00" + s.Piece.V
	if s.Code.Known {
		sample = s.Code.V
	}
	return strings.Join([]string{s.Assessor, s.Session.V, s.Repeat.V, sample}, "\x00")
}

// eachRow reads the rows of a table in order, and gives those that keep takes. A
// row is read into its place among those before it, which it keeps. The item is
// the row as it was read, for the places of its cells, and holds until the next.
func eachRow[E any](r *reader, t *table, o *object[E], keep func(v *E, it *item, before []E) bool) []E {
	cols := r.columns(t)
	probe(r, t, cols, o)
	rows := r.rowsOf(t, cols)
	var none E
	out := make([]E, 0, len(t.rows))
	for i := range t.rows {
		it := rows.item(t.rows[i])
		n := len(out)
		out = out[:n+1]
		o.readInto(r, it, &out[n])
		if !keep(&out[n], it, out[:n]) {
			out[n] = none
			out = out[:n]
		}
	}
	if len(out) == 0 {
		return nil
	}
	return out
}

// scoreHeader reports a sheet that lacks a column without which no line can be
// read: once, not for every line. A column that is nearly right is left to
// probe, which tells its proper name.
func (r *reader) scoreHeader(t *table) bool {
	known := append(scoreTable.keys(), r.measureNames()...)
	has, meant := map[string]bool{}, map[string]bool{}
	for _, h := range t.head {
		name := strings.TrimSpace(h.text)
		has[name] = true
		if contains(known, name) {
			continue
		}
		if n, near := diag.Nearest(name, known); near {
			meant[n] = true
		}
	}
	ok := true
	need := func(text, hint string, names ...string) {
		found, near := false, false
		for _, n := range names {
			found, near = found || has[n], near || meant[n]
		}
		ok = ok && found
		if !found && !near {
			r.fail(t.at(&t.head[0]), "missing-column", text, hint)
		}
	}
	need("the score sheet has no column assessor", "add a column assessor", "assessor")
	need("the score sheet does not say what was tasted", "add a column code, piece or cook", "code", "piece", "cook")
	return ok
}

// resolve finds piece and cook of a score from its code, its piece or its
// cook, and reports what does not fit together.
func (r *reader) resolve(s *trial.Score, it *item, key *codebook) bool {
	where := r.samples()
	if s.Code.Known {
		k, ok := key.of[s.Code.V]
		switch {
		case !ok && !key.there && !s.Piece.Known && s.Cook == "":
			r.noKey()
			return false
		case !ok && key.there:
			r.fail(here(s.Code.At), "unknown-code", fmt.Sprintf("the code %s is not in the key", quote(s.Code.V)), r.nearestCode(s.Code.V, r.codeNames()))
			return false
		case ok && s.Piece.Known && s.Piece.V != k.Piece:
			r.say(diag.Error, here(s.Piece.At), "contradiction", fmt.Sprintf("the key gives the code %s to %s, this line to %s", quote(s.Code.V), quote(k.Piece), quote(s.Piece.V)), "", "correct the sheet or the key", note(k.At, "the key"))
			return false
		case ok && !s.Piece.Known:
			of, known := where.of[k.Piece]
			if !known {
				return false // reported with the key
			}
			if of.isPiece {
				s.Piece = trial.SomeAt(k.Piece, s.Code.At)
			} else if s.Cook == "" {
				s.Cook = k.Piece
			}
		}
	}
	if s.Piece.Known {
		of, ok := where.of[s.Piece.V]
		if !ok && r.noCooks() {
			return false
		}
		if !of.isPiece {
			r.fail(here(s.Piece.At), "unknown-piece", fmt.Sprintf("there is no piece %s", quote(s.Piece.V)), r.nearest(s.Piece.V, where.names()))
			return false
		}
		if s.Cook != "" && s.Cook != of.cook {
			r.fail(here(s.Piece.At), "contradiction", fmt.Sprintf("the piece %s belongs to cook %s, this line says %s", quote(s.Piece.V), quote(of.cook), quote(s.Cook)), "correct one of the two")
			return false
		}
		s.Cook = of.cook
	}
	if s.Cook == "" {
		r.fail(sampleCell(it).at, "missing-value", "the line does not say what was tasted", "fill in code, piece or cook")
		return false
	}
	if !where.of[s.Cook].isCook {
		switch {
		case r.noCooks():
		case where.of[s.Cook].isPiece:
			r.fail(it.get("cook").at, "unknown-cook", quote(s.Cook)+" is a piece, not a cook", "put it into a column piece")
		default:
			r.fail(it.get("cook").at, "unknown-cook", fmt.Sprintf("there is no cook %s", quote(s.Cook)), r.nearest(s.Cook, where.cookNames()))
		}
		return false
	}
	return true
}

// sampleCell is the cell of a line that should say what was tasted.
func sampleCell(it *item) *item {
	for _, key := range []string{"code", "piece", "cook"} {
		if v := it.get(key); v != nil {
			return v
		}
	}
	return it
}

// noCooks reports whether cooks were listed and none could be read: what refers
// to them is no further fault then.
func (r *reader) noCooks() bool {
	return len(r.t.Cooks) == 0 && r.root.get("cooks") != nil && r.root.get("cooks").bad
}

// noKey says once that codes cannot be read without a key.
func (r *reader) noKey() { r.noKeyTo("scores", r.t.Panel.V.ScoresFile.At) }

// noKeyTo is noKey for the table of that name.
func (r *reader) noKeyTo(what string, at diag.Pos) {
	p := &r.t.Panel.V
	sev := diag.Error
	if p.KeyFile.Known {
		at = p.KeyFile.At
		if r.planned() {
			sev = diag.Note
		}
	}
	r.say(sev, here(at), "no-key", "the "+what+" name codes, and there is no key to them", "", "name the key under panel: key: FILE.csv, with the columns code and piece")
}
