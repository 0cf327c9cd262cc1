// Package place finds times for the steps of a day at the baths, worked back from
// serving. It knows numbers only: jobs, hands, pans and baths.
//
// Solve places one flight after the other, the last one first. Within a flight it
// places the jobs by a list, each as late as it fits, and searches the orders of
// the list by branch and bound: a branch ends where a job does not fit, or where
// the sum of squared waits is no better than the best so far. The search is
// deterministic and stops after a fixed number of steps, so a Clash says that this
// search found no place, and between which two steps; where a bath is needed
// twice, or something takes longer than it may, that is a proof.
//
// Times are whole seconds on one line, from an origin of the caller's choice. A
// bath, a pan and a pair of hands take one thing at a time; a bath that warms
// food up again takes all of the flight at once.
//
// What it does not do: it does not choose baths, change the order in which a bath
// is used, or know of heat and safety; those come as durations and limits. Bad
// numbers are ErrArgument. The problem is not altered.
package place
