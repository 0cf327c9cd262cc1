// Package fairness asks what else changed along with the set point. It is a
// catalogue of checks on the design, the cook, the tasting, the analysis and
// the wording of a trial, honest about what it cannot judge.
//
// Each check is one file with one literal, a Check: its prose, its severity and
// its source stand beside the code that judges, and everything that shows a
// check (check, explain, fit, reports, the catalogue page) reads that literal.
// Slugs are never reused.
//
// A check has one of four outcomes. It fires; it is clear; it cannot judge,
// and names the field or the number that is missing; or it does not apply. A
// check never says clear for lack of data.
//
// Checks run at three stages: on the design, on what was cooked, and on the
// scores. Run gives the findings of one stage, merged under their root causes
// and ranked. Thresholds are house rules with a default that the trial file
// may change; a changed one is in the result.
//
// The package prints nothing and changes nothing. It never proposes what
// package safety calls not to be eaten: such a fix is replaced by the refusal.
// Sentences are parts (package prose), so that both unit systems read them.
package fairness
