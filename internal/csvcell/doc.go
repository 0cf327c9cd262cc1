// Package csvcell keeps what stands in a table from being run by a spreadsheet.
//
// A cell that begins like a formula gets an apostrophe before it when it is
// written, and loses it when it is read. Numbers stay numbers, also negative ones.
// It does not quote separators or line ends: that is what encoding/csv does.
package csvcell
