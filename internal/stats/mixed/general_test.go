package mixed

import (
	"strings"
	"testing"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// Open data and simulated panels of other shapes than cake: crossed, nested,
// weighted, with missing rows, with a variance on its bound. The reference was
// run with a search that stops at changes of 1e-12, which still leaves its θ a
// few 1e-8 from the optimum, and takes its derivatives numerically.
func TestGeneral(t *testing.T) {
	t.Parallel()
	T := frame.T
	tests := []struct {
		key    string
		terms  []frame.Term
		groups []string
	}{
		{"sleepstudy", []frame.Term{T("days")}, []string{"subject"}},
		{"penicillin", nil, []string{"plate", "sample"}},
		{"pastes", nil, []string{"batch", "sample"}},
		{"pastes_cask", []frame.Term{T("cask")}, []string{"batch", "sample"}},
		{"ergostool", []frame.Term{T("type")}, []string{"subject"}},
		{"machines", []frame.Term{T("machine")}, []string{"worker", "wm"}},
		{"cbpp_weighted", []frame.Term{T("period")}, []string{"herd"}},
		{"insteval", []frame.Term{T("service")}, []string{"s", "d", "dept"}},
		{"consumers", frame.Crossed(T("product"), T("age")), []string{"person"}},
		{"trained", []frame.Term{T("product")}, []string{"assessor", "ap", "session"}},
		{"boundary", []frame.Term{T("product")}, []string{"assessor", "ap"}},
	}
	all, source := readJSON(t, "general.json")
	for _, tc := range tests {
		t.Run(tc.key, func(t *testing.T) {
			t.Parallel()
			var ref struct {
				File       string   `json:"file"`
				Weights    string   `json:"weights"`
				Criterion  float64  `json:"criterion"`
				VarComp    []genRow `json:"varcomp"`
				Fixed      []refRow `json:"fixed"`
				FixedKR    []refRow `json:"fixed_kr"`
				MLDeviance float64  `json:"ml_deviance"`
				MLVarComp  []genRow `json:"ml_varcomp"`
				A1         []refRow `json:"anova_1"`
				A2         []refRow `json:"anova_2"`
				A3         []refRow `json:"anova_3"`
				KR         []refRow `json:"anova_kr"`
				Ranova     []refRow `json:"ranova"`
				Modes      []genRow `json:"modes"`
			}
			decode(t, all[tc.key], &ref)
			d := readCSV(t, ref.File)
			var cols []frame.Column
			for name, v := range d {
				if name == "days" || name == "age" || name == "y" || name == "size" {
					cols = append(cols, must(frame.Numeric(name, floats(t, v))))
				} else {
					cols = append(cols, must(frame.Factor(name, v)))
				}
			}
			fr := must(frame.New(cols...))
			var groups []Grouping
			for _, g := range tc.groups {
				groups = append(groups, must(FromColumn(must(fr.Column(g)))))
			}
			var w []float64
			if ref.Weights != "" {
				w = floats(t, d[ref.Weights])
			}
			mx := must(frame.Build(fr, frame.Model{Intercept: true, Terms: tc.terms}))
			y := floats(t, d["y"])
			m := must(FitMatrix(y, mx, groups, w, Options{}))
			tol := tolerance{variance: 1e-5, f: 1e-5, df: 1e-4, crit: 1e-10}
			reftest.Within(t, "criterion", m.Criterion, ref.Criterion, tol.crit, source)
			checkVariances(t, m.Model, ref.VarComp, tol.variance, source)
			checkCoefs(t, m, ref.Fixed, Satterthwaite, tol, source)
			checkCoefs(t, m, ref.FixedKR, KenwardRoger, tol, source)
			checkTable(t, m, frame.TypeI, Satterthwaite, ref.A1, tol, source)
			checkTable(t, m, frame.TypeIIByCovariates, Satterthwaite, ref.A2, tol, source)
			checkTable(t, m, frame.TypeIII, Satterthwaite, ref.A3, tol, source)
			checkTable(t, m, frame.TypeIII, KenwardRoger, ref.KR, tol, source)
			for _, r := range ref.Ranova {
				for _, l := range must(m.RandomTests()) {
					if strings.HasPrefix(r.Term, "(1 | "+l.Name+")") {
						reftest.WithinAbs(t, "LRT of "+l.Name, l.Chi2, r.LRT, 1e-6, 1e-7, source)
					}
				}
			}
			for _, r := range ref.Modes {
				for g, modes := range m.Modes() {
					for _, mode := range modes {
						if groups[g].Name == r.Group && mode.Level == r.Level {
							reftest.WithinAbs(t, "mode of "+r.Level, mode.Mode, r.Mode, 1e-5, 1e-5*m.Sigma, source)
							reftest.WithinAbs(t, "SD of "+r.Level, mode.SD, r.SD, 1e-5, 1e-5*m.Sigma, source)
						}
					}
				}
			}
			ml := must(FitMatrix(y, mx, groups, w, Options{ML: true}))
			reftest.Within(t, "deviance", ml.Criterion, ref.MLDeviance, tol.crit, source)
			checkVariances(t, ml.Model, ref.MLVarComp, tol.variance, source)
		})
	}
}

type genRow struct {
	Group    string  `json:"group"`
	Variance float64 `json:"variance"`
	Level    string  `json:"level"`
	Mode     float64 `json:"mode"`
	SD       float64 `json:"sd"`
}

func checkVariances(t *testing.T, m *Model, ref []genRow, rel float64, source string) {
	t.Helper()
	for _, r := range ref {
		if r.Group == "Residual" {
			reftest.Within(t, "residual", m.Sigma2, r.Variance, rel, source)
		}
		for _, c := range m.Components {
			if c.Grouping != r.Group {
				continue
			}
			// A variance that the reference leaves at 1e-10 is on the bound.
			reftest.WithinAbs(t, "variance of "+r.Group, c.Variance, r.Variance, rel, 1e-9*m.Sigma2, source)
			if c.AtBound != (c.Variance == 0) || (c.AtBound && !m.Status.Boundary) {
				t.Errorf("%s: bound not reported: %+v %+v", r.Group, c, m.Status)
			}
		}
	}
}
