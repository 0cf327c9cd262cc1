// Package diag holds messages about places in files: what is wrong, where, what
// was expected and what to type instead.
//
// A Message names a severity, a slug that never changes its meaning, a place,
// and the line of the file itself, so that it can be shown with a caret. A List
// collects the messages of all files of a trial; sorted, it is in the order of
// file, line and column, and the same message never appears twice. Print is
// the only place that turns a list into text; the JSON form is that of the
// types.
//
// The package reads no files, decides no exit codes and knows no formats. Text
// from files is untrusted: control characters, direction marks and bytes that
// are not UTF-8 are shown as replacement characters, never sent to a terminal.
package diag
