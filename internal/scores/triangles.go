package scores

import (
	"fmt"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Answered is a sheet of triangles held against a trial.
type Answered struct {
	Changes []trial.TriangleSet // what is added to a set, At its line in the table of the trial
	Lines   []AnswerLine        // every answer of the sheet, in its order
	Left    []Left              // sets without an answer even then, by their numbers
}

// AnswerLine is what became of one line of the sheet.
type AnswerLine struct {
	Answer trial.TriangleSet
	New    bool // the answer is new; false where there is none, or the trial has it
}

// Added counts the answers that are new.
func (a *Answered) Added() (n int) {
	for i := range a.Lines {
		if a.Lines[i].New {
			n++
		}
	}
	return n
}

// MergeTriangles holds the answers of a sheet, which the reader has held against
// the sets of the trial, against the answers that the trial has. It may fill in
// what is blank and repeat what is there; what contradicts it or stands twice is
// an error. source gives the line of the sheet at a place, nil for none. The
// result is nil when any message is an error; the trial is not altered.
func MergeTriangles(t *trial.Trial, sheet []trial.TriangleSet, source func(diag.Pos) string) (*Answered, diag.List) {
	m := merging{t: t, source: source}
	type key struct {
		assessor string
		set      int
	}
	have, used := map[key]*trial.TriangleSet{}, map[key]diag.Pos{}
	for i := range t.Panel.V.Triangles {
		x := &t.Panel.V.Triangles[i]
		have[key{x.Assessor, x.Set}] = x
	}
	out := &Answered{}
	answered := map[key]bool{}
	for i := range sheet {
		in := &sheet[i]
		k := key{in.Assessor, in.Set}
		if first, dup := used[k]; dup {
			m.fail(in.At, "answered-twice", fmt.Sprintf("set %d of %s stands twice", in.Set, quote(in.Assessor)), "keep one of the two lines", diag.Extra{Pos: first, Text: "first here"})
			continue
		}
		used[k] = in.At
		x := have[k]
		if x == nil {
			m.fail(in.At, "unknown-set", fmt.Sprintf("%s has no set %d", quote(in.Assessor), in.Set), "check the number of the set on the ballot")
			continue
		}
		line, add := AnswerLine{Answer: *in}, trial.TriangleSet{Assessor: x.Assessor, Set: x.Set, Codes: x.Codes, At: x.At}
		for _, f := range []struct {
			word     string
			in, have trial.Opt[string]
			add      *trial.Opt[string]
		}{{"the odd one", in.Odd, x.Odd, &add.Odd}, {"the note", in.Notes, x.Notes, &add.Notes}} {
			switch {
			case !f.in.Known || f.have.Known && f.have.V == f.in.V:
			case !f.have.Known:
				*f.add = f.in
			default:
				m.conflict(f.in.At, fmt.Sprintf("%s in set %d of %s is %s here and %s in the trial", f.word, in.Set, quote(in.Assessor), quote(f.in.V), quote(f.have.V)), x.At)
			}
		}
		line.New, answered[k] = add.Odd.Known, in.Odd.Known
		out.Lines = append(out.Lines, line)
		if add.Odd.Known || add.Notes.Known {
			out.Changes = append(out.Changes, add)
		}
	}
	if m.msgs.HasErrors() {
		return nil, m.msgs.Sorted()
	}
	at := map[string]int{}
	for i := range t.Panel.V.Triangles {
		x := &t.Panel.V.Triangles[i]
		if x.Odd.Known || answered[key{x.Assessor, x.Set}] {
			continue
		}
		j, ok := at[x.Assessor]
		if !ok {
			j = len(out.Left)
			at[x.Assessor] = j
			out.Left = append(out.Left, Left{Assessor: x.Assessor})
		}
		out.Left[j].Samples = append(out.Left[j].Samples, fmt.Sprintf("set %d", x.Set))
	}
	return out, m.msgs.Sorted()
}
