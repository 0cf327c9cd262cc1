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
// score sheet, or with names the ids themselves.
type people struct {
	names bool
	code  map[string]string // id → P1
	id    map[string]string // P1 → id
}

func peopleOf(t *trial.Trial, names bool) *people {
	p := &people{names: names, code: map[string]string{}, id: map[string]string{}}
	for i, id := range t.AssessorIDs() {
		code := "P" + strconv.Itoa(i+1)
		p.code[id], p.id[code] = code, id
	}
	return p
}

// show is how one assessor appears, whether given by id or by code.
func (p *people) show(who string) string {
	if p.names {
		if id, ok := p.id[who]; ok {
			if _, isID := p.code[who]; !isID {
				return id
			}
		}
		return who
	}
	if code, ok := p.code[who]; ok {
		return code
	}
	return who
}

func (p *people) showAll(who []string) {
	for i := range who {
		who[i] = p.show(who[i])
	}
}

// rename puts what is shown in place of every assessor in a result.
func (p *people) rename(r *answer.Result) {
	for _, m := range r.Measures {
		if m.Panel != nil {
			p.renamePanel(m.Panel)
		}
		if m.Sensitivity != nil {
			for i := range m.Sensitivity.LeaveOut {
				if l := &m.Sensitivity.LeaveOut[i]; l.Kind == "assessor" {
					l.ID = p.show(l.ID)
				}
			}
		}
	}
	for _, list := range [][]answer.Sentence{r.Text.Panel, r.Text.Doubt, r.Text.Compare} {
		for _, s := range list {
			for i := range s {
				s[i].Text = p.inProse(s[i].Text)
			}
		}
	}
}

func (p *people) renamePanel(panel *texture.Panel) {
	for i := range panel.Assessors {
		panel.Assessors[i].Assessor = p.show(panel.Assessors[i].Assessor)
	}
	p.showAll(panel.OutOfStep)
	p.showAll(panel.Flat)
	for i := range panel.Kappa {
		panel.Kappa[i].A, panel.Kappa[i].B = p.show(panel.Kappa[i].A), p.show(panel.Kappa[i].B)
	}
	if panel.Segments != nil {
		for _, g := range panel.Segments.Groups {
			p.showAll(g)
		}
	}
}

var codeWord = regexp.MustCompile(`\bP[0-9]+\b`)

// inProse puts names in place of codes; without names prose has codes already.
func (p *people) inProse(s string) string {
	if !p.names {
		return s
	}
	return codeWord.ReplaceAllStringFunc(s, p.show)
}

func joinSpaced(parts []string) string { return strings.Join(parts, " ") }
