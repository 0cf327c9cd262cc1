package trialfile

import (
	"fmt"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var guessedTable = object[trial.Guessed]{noun: "a count of guesses", flow: true, fields: []field[trial.Guessed]{
	must(val("answers", "how many answers", count(0, 1_000_000), func(g *trial.Guessed) *int { return &g.Answers })),
	must(val("correct", "how many were right", count(0, 1_000_000), func(g *trial.Guessed) *int { return &g.Correct })),
	must(val("of", "among how many choices", count(2, 1000), func(g *trial.Guessed) *int { return &g.Of })),
}, finish: func(r *reader, it *item, g *trial.Guessed) { r.atMost(it, "correct", g.Correct, g.Answers) }}

// atMost reports more correct answers than answers.
func (r *reader) atMost(it *item, key string, correct, answers int) {
	if v, of := it.get(key), it.get("answers"); v != nil && of != nil && !v.bad && !of.bad && correct > answers {
		r.fail(v.at, "out-of-range", fmt.Sprintf("%d correct of %d answers", correct, answers), "correct is at most the number of answers")
	}
}

var rinseTable = object[trial.Rinse]{noun: "a rinse", flow: true, fields: []field[trial.Rinse]{
	opt("with", "what they rinsed with", shortText, func(x *trial.Rinse) *trial.Opt[string] { return &x.With }),
	opt("gap", "time between samples", span, func(x *trial.Rinse) *trial.Opt[quantity.Duration] { return &x.Gap }),
}}

var assessorTable = object[trial.Assessor]{noun: "an assessor", flow: true, fields: []field[trial.Assessor]{
	opt("kind", "trained, consumer or staff", words(trial.AssessorKinds...), func(a *trial.Assessor) *trial.Opt[trial.AssessorKind] { return &a.Kind }),
	opt("cooked", "did they cook the samples", yesNo, func(a *trial.Assessor) *trial.Opt[bool] { return &a.Cooked }),
	opt("chose", "did they choose the set points", yesNo, func(a *trial.Assessor) *trial.Opt[bool] { return &a.Chose }),
}}

var panelTable = object[trial.Panel]{noun: "a panel", fields: []field[trial.Panel]{
	{key: "scores", doc: "CSV: assessor, session, repeat, position, code or piece or cook, a column a measure", schema: pathSchema,
		read: func(r *reader, it *item, p *trial.Panel) { p.ScoresFile = readPath(r, it) }, write: func(p *trial.Panel) *item { return writePath(p.ScoresFile) }},
	{key: "key", doc: "CSV: code, piece; kept apart until the ballots are in", schema: pathSchema,
		read: func(r *reader, it *item, p *trial.Panel) { p.KeyFile = readPath(r, it) }, write: func(p *trial.Panel) *item { return writePath(p.KeyFile) }},
	{key: "triangles", doc: "CSV: assessor, session, set, first, second, third, odd; the codes of three portions and the one named as odd", schema: pathSchema,
		read: func(r *reader, it *item, p *trial.Panel) { p.TrianglesFile = readPath(r, it) }, write: func(p *trial.Panel) *item { return writePath(p.TrianglesFile) }},
	opt("blind", "did the tasters not know which was which", yesNo, func(p *trial.Panel) *trial.Opt[bool] { return &p.Blind }),
	opt("looks_masked", "red light, blindfold or no: could they see the difference", words(trial.Masks...), func(p *trial.Panel) *trial.Opt[trial.Mask] { return &p.LooksMasked }),
	opt("together", "did they talk while scoring", yesNo, func(p *trial.Panel) *trial.Opt[bool] { return &p.Together }),
	opt("bite", "mass of one tasting portion", mass, func(p *trial.Panel) *trial.Opt[quantity.Mass] { return &p.Bite }),
	opt("plan", "complete, or incomplete blocks", words(trial.Layouts...), func(p *trial.Panel) *trial.Opt[trial.Layout] { return &p.Plan }),
	opt("guessed", "how often they named the sample: {answers: 12, correct: 5, of: 3}", guessedTable.codec(), func(p *trial.Panel) *trial.Opt[trial.Guessed] { return &p.Guessed }),
	opt("warm_up", "was there a sample before the first that counts", yesNo, func(p *trial.Panel) *trial.Opt[bool] { return &p.WarmUp }),
	opt("rinse", "{with: water and cracker, gap: 2 min}", rinseTable.codec(), func(p *trial.Panel) *trial.Opt[trial.Rinse] { return &p.Rinse }),
	named("assessors", "facts on assessors; optional", &assessorTable, func(p *trial.Panel) *[]trial.Assessor { return &p.Assessors },
		func(a *trial.Assessor) *string { return &a.ID }, func(a *trial.Assessor) *diag.Pos { return &a.At }),
}, finish: func(_ *reader, it *item, p *trial.Panel) { p.At = it.at.pos }}

var similarityTable = object[trial.Similarity]{noun: "a similarity test", flow: true, fields: []field[trial.Similarity]{
	must(val("pd", "share of tasters that may notice", share, func(s *trial.Similarity) *quantity.Share { return &s.PD })),
	must(val("beta", "risk of missing more than that", share, func(s *trial.Similarity) *quantity.Share { return &s.Beta })),
}}

var testTable = object[trial.DifferenceTest]{noun: "a difference test", flow: true, fields: []field[trial.DifferenceTest]{
	must(val("kind", "triangle, duo-trio, 2-AFC, 3-AFC or paired", words(trial.TestKinds...), func(d *trial.DifferenceTest) *trial.TestKind { return &d.Kind })),
	must(many("between", "two cooks, like [A, C]", idCodec, func(d *trial.DifferenceTest) *[]string { return &d.Between })),
	must(val("answers", "how many answers", count(0, 1_000_000), func(d *trial.DifferenceTest) *int { return &d.Answers })),
	must(val("correct", "how many were right", count(0, 1_000_000), func(d *trial.DifferenceTest) *int { return &d.Correct })),
	opt("similarity", "ask for likeness: {pd: 30 %, beta: 5 %}", similarityTable.codec(), func(d *trial.DifferenceTest) *trial.Opt[trial.Similarity] { return &d.Similarity }),
}, finish: func(r *reader, it *item, d *trial.DifferenceTest) {
	d.At = it.at.pos
	r.atMost(it, "correct", d.Correct, d.Answers)
	if b := it.get("between"); b != nil && !b.bad && (len(d.Between) != 2 || d.Between[0] == d.Between[1]) {
		r.fail(b.at, "bad-pair", "a difference test is between two cooks", "write between: [A, C]")
	}
}}
