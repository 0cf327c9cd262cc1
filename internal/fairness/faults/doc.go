// Package faults draws invented trials: fair ones, and ones with one planted
// fault, as the files that a cook would write. They measure the checks of
// package fairness: how often a fault is found, and how often a fair trial is
// accused. Everything comes from a seed, so the same seed gives the same files.
//
// A fair trial here is one in which nothing but what is compared differs by
// anything but chance, with a true effect of at least twice the smallest
// difference that the trial can see (at 5 % and a power of 80 %). Sizes, records
// and ways of writing vary widely; what is not written down differs as well.
//
// The package reads nothing and runs no check: its test does, and holds the
// committed table against what it finds.
package faults
