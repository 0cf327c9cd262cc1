package fairness

// analysisChecks are the checks of this family, in the order of the catalogue.
var analysisChecks = []*Check{&manyMeasures, &declaredAfterTasting, &tooFewToSee, &analysesDisagree, &oneCookCarriesIt}
