// Package design lays a trial out: it turns the design block of a trial into
// cooks with their baths, sessions and run order, pieces with their sources,
// parts and brines, blind codes with their key, and serving orders.
//
// Of is the one call. It returns a copy of the trial with all that in it as
// data, and beside it what a person wants to see before the bath is on: how even
// the layout is, what stays confounded, who may eat what. A plan that cannot
// exist is a *Refusal with the reason and the place in the file; so is one for
// something that safety calls "do not eat", unless it is only weighed and
// sheared. InFlights puts the places of a serving order into the order in which a
// day is served. Sittings reads the serving orders back from any planned trial, with
// the slice that each taster gets, for sheets and schedules.
//
// The numbers live below: search improves a layout, allot places runs and deals
// pieces, order makes serving orders, code draws codes. Everything random comes
// from one seed, with a generator of its own for each purpose, so that the same
// trial and seed give the same plan.
//
// A size that is not known is not balanced, and a mass or a bite that is not
// known is not held against the panel; the remarks say so.
//
// What it does not do: it reads and writes no file and knows no clock (package
// schedule works back from serving), it plans no warm-up piece, and it does not
// judge fairness; package fairness judges what was laid out.
package design
