package fairness

// dataChecks are the checks of this family, in the order of the catalogue.
var dataChecks = []*Check{&scoresAtTheEnd, &missingBySetPoint, &scoresLeftOut, &typingSlip}
