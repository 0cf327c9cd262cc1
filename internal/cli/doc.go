// Package cli is the command line: one file a verb, each of which turns flags
// into one call and hands the result to one renderer. It is the only importer
// of cobra.
//
// Results go to standard output, messages to standard error. The exit code is
// part of the contract: 0 done, 1 failure, 2 wrong command line, 3 a trial file
// is invalid, 4 findings at or above --fail-on, 130 interrupted. --json does
// not change it.
package cli
