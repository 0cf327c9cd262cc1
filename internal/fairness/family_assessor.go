package fairness

// assessorChecks are the checks of this family, in the order of the catalogue.
var assessorChecks = []*Check{&tastersKnew, &cookTasted, &notAllTastedAll, &tastersTalked, &assessorOutOfStep, &panelSplits}
