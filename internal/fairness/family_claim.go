package fairness

// claimChecks are the checks of this family, in the order of the catalogue.
var claimChecks = []*Check{
	&ratioOnRatings, &proves, &optimumFromTwo, &beyondSetPoints, &sameWithoutMargin, &widerThanTrial, &winnerWithinNoise, &safeWords,
}
