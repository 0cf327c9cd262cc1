package fairness

// replicationChecks are the checks of this family, in the order of the catalogue.
var replicationChecks = []*Check{
	&oneRunPerSetPoint, &splitRun, &looksCountedAsRuns, &runOrderFollowsSetPoint, &sessionTiedToSetPoint, &bathTiedToSetPoint, &driftOverRuns,
}
