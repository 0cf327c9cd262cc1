package fairness

// catalogue is filled by init, because the checks read the catalogue's prose
// and Go refuses that circle in a plain initialisation.
var catalogue []*Check

func init() {
	for _, family := range [][]*Check{
		replicationChecks, heatChecks, materialChecks, brineChecks, finishingChecks,
		servingChecks, assessorChecks, dataChecks, analysisChecks, claimChecks,
	} {
		catalogue = append(catalogue, family...)
	}
}
