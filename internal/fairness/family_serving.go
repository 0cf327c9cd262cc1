package fairness

// servingChecks are the checks of this family, in the order of the catalogue.
var servingChecks = []*Check{&servedAtDiffers, &waitDiffers, &tastingOrderUneven, &placeChangesScores, &carryOver}
