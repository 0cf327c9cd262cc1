package cli

import (
	"regexp"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// people turns assessors' ids into what is shown: P1, P2 … in the order of the
// score sheet, or with names the ids themselves. A result has the numbers.
type people struct {
	names bool
	code  map[string]string // id → P1
	id    map[string]string // P1 → id
}

func peopleOf(t *trial.Trial, names bool) *people {
	p := &people{names: names, code: map[string]string{}, id: map[string]string{}}
	for i, id := range t.TasterIDs() {
		code := "P" + strconv.Itoa(i+1)
		p.code[id], p.id[code] = code, id
	}
	return p
}

// show is how an assessor of the file appears.
func (p *people) show(id string) string {
	if code, ok := p.code[id]; ok && !p.names {
		return code
	}
	return id
}

// name is who a number stands for.
func (p *people) name(code string) string {
	if id, ok := p.id[code]; ok {
		return id
	}
	return code
}

func (p *people) nameAll(who []string) {
	for i := range who {
		who[i] = p.name(who[i])
	}
}

// rename puts names in place of the numbers of a result, where they were asked
// for. It must be called once.
func (p *people) rename(r *answer.Result) {
	if !p.names {
		return
	}
	for _, m := range r.Measures {
		if m.Panel != nil {
			p.renamePanel(m.Panel)
		}
		if m.Sensitivity != nil {
			for i := range m.Sensitivity.LeaveOut {
				if l := &m.Sensitivity.LeaveOut[i]; l.Kind == "assessor" {
					l.ID = p.name(l.ID)
				}
			}
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		p.nameAll(f.Where.Assessors)
		for j := range f.Missing {
			if f.Missing[j].OfPeople() {
				p.nameAll(f.Missing[j].Where)
			}
		}
		p.sentences(f.Text, f.Hedge, f.Next)
	}
	for _, list := range [][]answer.Doubt{r.Doubts.Roots, r.Doubts.Accepted} {
		for _, d := range list {
			p.sentences(d.Text, d.Next, d.Cost)
		}
	}
	if r.Claim != nil {
		p.sentences(r.Claim.Hedges...)
	}
	for _, list := range [][]answer.Sentence{r.Text.Panel, r.Text.Doubt, r.Text.Compare} {
		p.sentences(list...)
	}
}

// sentences puts names into sentences. Those that share their parts are changed
// once, because a name holds no number that a second pass would find.
func (p *people) sentences(list ...answer.Sentence) {
	for _, s := range list {
		for i := range s {
			s[i].Text = p.inProse(s[i].Text)
		}
	}
}

func (p *people) renamePanel(panel *texture.Panel) {
	for i := range panel.Assessors {
		panel.Assessors[i].Assessor = p.name(panel.Assessors[i].Assessor)
	}
	p.nameAll(panel.OutOfStep)
	p.nameAll(panel.Flat)
	for i := range panel.Kappa {
		panel.Kappa[i].A, panel.Kappa[i].B = p.name(panel.Kappa[i].A), p.name(panel.Kappa[i].B)
	}
	if panel.Segments != nil {
		for _, g := range panel.Segments.Groups {
			p.nameAll(g)
		}
	}
}

var codeWord = regexp.MustCompile(`\bP[0-9]+\b`)

func (p *people) inProse(s string) string {
	return codeWord.ReplaceAllStringFunc(s, p.name)
}

func joinSpaced(parts []string) string { return strings.Join(parts, " ") }
