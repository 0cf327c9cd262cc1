package fairness

// heatChecks are the checks of this family, in the order of the catalogue.
var heatChecks = []*Check{&timeMovesWithSetPoint, &rampInOneBath, &coreShort, &holdSpread, &bathOffSetPoint, &loadDiffers, &gapBetweenSetPoints}
