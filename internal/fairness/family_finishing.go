package fairness

// finishingChecks are the checks of this family, in the order of the catalogue.
var finishingChecks = []*Check{&finishDiffers, &searHidesSetPoint, &chilledOnlySome}
