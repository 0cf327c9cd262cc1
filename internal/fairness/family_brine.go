package fairness

// brineChecks are the checks of this family, in the order of the catalogue.
var brineChecks = []*Check{&brineTiedToSetPoint, &oneTub, &brineDoseDiffers, &saltGivesItAway}
