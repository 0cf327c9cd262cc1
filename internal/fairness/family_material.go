package fairness

// materialChecks are the checks of this family, in the order of the catalogue.
var materialChecks = []*Check{&sourceTiedToSetPoint, &partTiedToSetPoint, &sizeDiffers, &coldHistoryDiffers, &oneLot, &anythingElseMoves}
